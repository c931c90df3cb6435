"""The schema for editors: it is draft 7, takes what is sound in both forms and refuses the usual slips."""

import copy
import json
from pathlib import Path

import pytest
import yaml
from jsonschema import Draft7Validator
from tests.studies.small import VEHICLE

from asfitted.description.answers import Answers
from asfitted.description.dump import dump
from asfitted.description.jsonschema import json_schema
from asfitted.description.kinds import KINDS, field_names
from asfitted.description.load import load_text
from asfitted.description.starter import starter

SOUND = (Path(__file__).parent / "faulty" / "sound.yaml").read_text(encoding="utf-8")
EXAMPLES = Path(__file__).resolve().parents[2] / "example_builds"
BUILDS = [SOUND, *(p.read_text(encoding="utf-8") for p in sorted(EXAMPLES.glob("*/build.yaml")))]


class EditorLoader(yaml.SafeLoader):
    """YAML 1.2 as editors read it: numbers and true or false, nothing else."""


EditorLoader.yaml_implicit_resolvers = {
    letter: [(tag, pattern) for tag, pattern in resolvers if tag.rsplit(":", 1)[-1] in ("int", "float")]
    for letter, resolvers in yaml.SafeLoader.yaml_implicit_resolvers.items()
}


def as_editors_see(text: str) -> dict:
    # Keys of JSON are text.
    return json.loads(json.dumps(yaml.load(text, EditorLoader)))  # noqa: S506  (it derives from SafeLoader)


@pytest.fixture(scope="module")
def validator() -> Draft7Validator:
    schema = json_schema()
    Draft7Validator.check_schema(schema)
    return Draft7Validator(schema)


def test_the_schema_uses_only_words_of_draft_7(validator: Draft7Validator):
    text = json.dumps(validator.schema)
    for word in ("prefixItems", "$defs", "unevaluatedProperties", "dependentRequired", "discriminator"):
        assert f'"{word}"' not in text
    assert validator.schema["$schema"] == "http://json-schema.org/draft-07/schema#"


@pytest.mark.parametrize("number", range(len(BUILDS)))
@pytest.mark.parametrize("form", ["short", "long"])
def test_sound_descriptions_are_valid_in_both_forms(validator: Draft7Validator, number: int, form: str):
    text = BUILDS[number] if form == "short" else dump(load_text(BUILDS[number]).tree)
    assert [(list(e.absolute_path), e.message) for e in validator.iter_errors(as_editors_see(text))] == []


def test_the_starter_is_valid(validator: Draft7Validator):
    assert list(validator.iter_errors(as_editors_see(starter(Answers(), "2026-03-02")))) == []


@pytest.mark.parametrize(
    ("find", "write"),
    [
        ("days:", "dayz:"),
        ("use: lived in", "use: living"),
        ("body: structure", "body: structur"),
        ("isolation: isolated", "isolation: yes"),
        ("efficiency: 92 %", "eficiency: 92 %"),
        ("- earth: [", "- eart: ["),
        ("ambient: 40 °C, lowest", "ambient: 40, lowest"),
        ("drive: 1 h", "drive: 1 km"),
        ("reference: T-1", 'reference: "#1"'),
        ("{neutral electrode: 20 ohm}", "{}"),
    ],
)
def test_the_usual_slips_are_refused(validator: Draft7Validator, find: str, write: str):
    text = SOUND.replace(
        "at: {farm: {rating: 10 A, earthing: TT}}", "at: {farm: {neutral electrode: 20 ohm}}"
    )
    assert find in text
    if write == "{}":
        write = "{neutral electrode: 20 V}"
    assert list(validator.iter_errors(as_editors_see(text.replace(find, write))))


def test_every_kind_is_there_in_both_forms_with_all_its_fields(validator: Draft7Validator):
    definitions = validator.schema["definitions"]
    for kind, model in KINDS.items():
        long, short = definitions[model.__name__], definitions[f"{model.__name__}Short"]
        assert set(long["properties"]) == {"kind", *field_names(model)}
        assert set(short["properties"]) == set(field_names(model))
        assert long["properties"]["kind"] == {"const": kind}
        assert all("description" in p for n, p in long["properties"].items() if n != "kind")


def test_the_schema_is_the_same_each_time():
    first = json_schema()
    assert json.dumps(first) == json.dumps(json_schema())
    assert copy.deepcopy(first) == first


def test_the_kind_of_a_neutral_bond_may_stand_alone(validator: Draft7Validator):
    group = "{kind: fixed, lands on: own earth terminal}"
    assert list(validator.iter_errors(as_editors_see(SOUND.replace(group, "none")))) == []
    assert list(validator.iter_errors(as_editors_see(SOUND.replace(group, "maybe")))) != []


def test_what_may_be_left_open_may_be_auto_and_nothing_else(validator: Draft7Validator):
    text = VEHICLE.replace("F1: {RCBO: 10 A, W10", "F1: {RCBO: auto, W10").replace(
        "fuse T 125 A", "fuse T auto"
    )
    long = dump(load_text(text).tree)
    assert long.count("rating: auto") == 2
    assert not list(validator.iter_errors(as_editors_see(text)))
    assert not list(validator.iter_errors(as_editors_see(long)))
    busbar = long.replace("rating: 100 A", "rating: auto")
    assert busbar != long
    assert list(validator.iter_errors(as_editors_see(busbar)))


def test_what_is_left_open_stays_open_in_the_long_form():
    text = VEHICLE.replace("F1: {RCBO: 10 A, W10", "F1: {RCBO: auto, W10")
    text = text.replace("  RCBO: B 2P 30 mA type A 6 kA\n", "  RCBO: 6 kA\n")
    text = text.replace("QF1: RCBO C16", "QF1: RCBO auto").replace("F3: {RCBO: 10 A", "F3: {RCBO: auto")
    short, long = load_text(text), load_text(dump(load_text(text).tree))
    assert short.description is not None
    assert short.description == long.description
    opened = {id_: getattr(spec, "left_open", ()) for id_, spec in long.description.equipment.items()}
    assert opened["F1"] == ("rating", "curve", "residual current", "residual type", "poles")
