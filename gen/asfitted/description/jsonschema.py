"""The JSON Schema of a description for editors: short and long forms, from the models themselves.

Draft 7, which is what editors read; no tuples. It helps while typing; the reader itself says more.
"""

import re
from typing import Any

from asfitted import words
from asfitted.description.kinds import KINDS, LoadItem, NeutralBond
from asfitted.description.models import words_of
from asfitted.description.results import ResultsText
from asfitted.description.rows import CONSUMERS
from asfitted.description.schema import CABLE_KINDS, Description

Schema = dict[str, Any]
_TEXT: Schema = {"type": "string", "minLength": 1}
_ID: Schema = {"pattern": "^[A-Za-z][A-Za-z0-9_-]{0,39}$"}


def json_schema() -> Schema:
    """Return the JSON Schema (draft 7) of a description in its short and long forms."""
    whole = _draft7(Description.model_json_schema(by_alias=True))
    definitions: Schema = whole["definitions"]
    for kind, model in KINDS.items():
        definitions[model.__name__] = _equipment(kind, definitions[model.__name__])
        definitions[f"{model.__name__}Short"] = _short(kind, definitions[model.__name__])
    definitions["EquipmentText"] = {"type": "string", "pattern": f"^({_any(KINDS)})( .+)?$"}
    definitions["Equipment"] = {
        "anyOf": [_ref("EquipmentText"), *(_ref(name) for name in _equipment_names())]
    }
    definitions["Run"] = _run()
    definitions["Circuit"] = _circuit(definitions)
    sections: Schema = whole["properties"]
    sections["defaults"] = {
        "type": "object",
        "properties": {"status": definitions["Breaker"]["properties"]["status"]},
        "patternProperties": {f"^({_any(KINDS)})( .+)?$": _TEXT, "cable$": _TEXT},
        "additionalProperties": False,
    }
    for section in ("sources", "equipment"):
        sections[section] = {
            "type": "object",
            "propertyNames": _ID,
            "additionalProperties": _ref("Equipment"),
        }
    sections["runs"] = {"type": "array", "items": _ref("Run")}
    rows = {"type": "object", "propertyNames": _ID, "additionalProperties": _ref("Circuit")}
    sections["circuits"] = {"type": "object", "additionalProperties": rows}
    for section, row in (("revisions", "Revision"), ("bundles", "Bundle"), ("spaces", "Space")):
        sections[section]["additionalProperties"] = {"anyOf": [_TEXT, _ref(row)]}
    for name, description in words.catalogue("kinds")["sections"].items():
        sections[name]["description"] = description
    # Equipment may come from sources, boards and circuits alone.
    whole["required"] = [name for name in whole["required"] if name != "equipment"]
    return {"$schema": "http://json-schema.org/draft-07/schema#", **whole}


def results_schema() -> Schema:
    """Return the JSON Schema (draft 7) of a file of test results."""
    whole = _draft7(ResultsText.model_json_schema(by_alias=True))
    reading: Schema = {
        "type": "string",
        "pattern": r"^(pass|fail|not applicable|limitation|((over|under) |[<>] ?)?-?[0-9][0-9.eE+-]*( \S+)?)( ?\(.*\))?$",
    }
    whole["definitions"]["Reading"] = reading
    session = whole["definitions"]["SessionText"]["properties"]
    session["readings"]["additionalProperties"] = {
        "anyOf": [_ref("Reading"), {"type": "object", "additionalProperties": _ref("Reading")}]
    }
    return {"$schema": "http://json-schema.org/draft-07/schema#", **whole}


def _draft7(node: Any) -> Any:
    """Return pydantic's schema in the words of draft 7."""
    if isinstance(node, list):
        return [_draft7(item) for item in node]
    if isinstance(node, str):
        return node.replace("#/$defs/", "#/definitions/")
    if not isinstance(node, dict):
        return node
    dropped = ("discriminator", "default", "title")
    return {
        "definitions" if key == "$defs" else key: _draft7(value)
        for key, value in node.items()
        if not (key in dropped and not isinstance(value, dict)) and key != "discriminator"
    }


def _equipment(kind: str, model: Schema) -> Schema:
    """Return the long form of a kind; what is missing may come from `defaults:`."""
    properties = dict(model["properties"])
    for name, property_ in properties.items():
        if name != "kind":
            properties[name] = {**property_, "description": field_words(kind, name)}
    for name in getattr(KINDS[kind], "OPEN", ()):
        description = properties[name].pop("description")
        properties[name] = {"anyOf": [properties[name], {"const": "auto"}], "description": description}
    if "loads" in properties:
        properties["loads"] = {
            "type": "object",
            "additionalProperties": {"anyOf": [_TEXT, _ref(LoadItem.__name__)]},
            "description": field_words(kind, "loads"),
        }
    if "neutral bond" in properties:
        bond = properties["neutral bond"]
        properties["neutral bond"] = {
            "anyOf": [
                {"enum": list(words_of(NeutralBond.model_fields["kind"].annotation))},
                _ref("NeutralBond"),
            ],
            "description": bond["description"],
        }
    properties["kind"] = {"const": kind}
    return {**model, "description": kind_words(kind), "properties": properties, "required": ["kind"]}


def _short(kind: str, long: Schema) -> Schema:
    """Return the short form of a kind: its name, with words, as the first entry."""
    properties = {name: value for name, value in long["properties"].items() if name != "kind"}
    return {
        "type": "object",
        "description": kind_words(kind),
        "properties": properties,
        "patternProperties": {f"^{re.escape(kind)}( .+)?$": _TEXT},
        "additionalProperties": False,
        "minProperties": 1,
    }


def _run() -> Schema:
    item = {
        "anyOf": [
            _TEXT,
            {
                "type": "object",
                "propertyNames": _ID,
                "minProperties": 1,
                "maxProperties": 1,
                "additionalProperties": {"anyOf": [_TEXT, *(_ref(name) for name in _equipment_names())]},
            },
        ]
    }
    row = {"type": "array", "items": item, "minItems": 2}
    return {
        "type": "object",
        "properties": dict.fromkeys(CABLE_KINDS, row),
        "additionalProperties": False,
        "minProperties": 1,
        "maxProperties": 1,
    }


def _circuit(definitions: Schema) -> Schema:
    shared = {**definitions["Load"]["properties"], **definitions["Sockets"]["properties"]}
    fields = {name: value for name, value in shared.items() if name != "kind"}
    return {
        "type": "object",
        "properties": {**fields, **dict.fromkeys(CONSUMERS, _TEXT)},
        "additionalProperties": _TEXT,
        "minProperties": 1,
    }


def _equipment_names() -> list[str]:
    return [name for model in KINDS.values() for name in (model.__name__, f"{model.__name__}Short")]


def _ref(name: str) -> Schema:
    return {"$ref": f"#/definitions/{name}"}


def _any(names: Any) -> str:
    return "|".join(re.escape(name) for name in sorted(names, key=len, reverse=True))


def kind_words(kind: str) -> str:
    """Return what a kind is, in one line."""
    return str(words.catalogue("kinds")["kinds"][kind])


def field_words(kind: str, field: str) -> str:
    """Return what a field of a kind says, in one line."""
    catalogue = words.catalogue("kinds")
    return str(catalogue["own"].get(kind, {}).get(field) or catalogue["fields"][field])
