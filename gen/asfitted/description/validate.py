"""The long form against its schema."""

from collections.abc import Collection
from typing import Any

from pydantic import ValidationError

from asfitted.description.problems import Problem
from asfitted.description.schema import FORMAT, Description
from asfitted.description.schema_problems import problem_of
from asfitted.description.tree import Mapping, Scalar, plain

#: stands in for what is wrong itself, so that names elsewhere can still be checked
_STAND_IN = {
    "asfitted": str(FORMAT),
    "build": {
        "title": "-",
        "reference": "X",
        "setting": "cabin",
        "use": "both",
        "rules": "IEC 60364",
        "ambient": "30 °C",
        "lowest temperature": "0 °C",
    },
    "revisions": {"1": {"date": "2000-01-01", "by": "-", "what": "-"}},
}


def validate(
    tree: Mapping, spoiled: Collection[str] = ()
) -> tuple[Description | None, Description | None, list[Problem]]:
    """Return the typed description of a long-form tree (None if it has problems), its sound parts, and the
    problems.

    `spoiled` names equipment and cables that were read in part only: what is missing there is not reported.
    The sound parts serve to check names that are used elsewhere; they are None if too little is left.
    """
    version = tree.get("asfitted")
    if isinstance(version, Scalar) and version.text != str(FORMAT):
        return None, None, [Problem("format version", version.mark, {"found": version.text, "known": FORMAT})]
    try:
        description = Description.model_validate(plain(tree))
    except ValidationError as error:
        errors = error.errors(include_url=False)
        found = [problem for each in errors if (problem := problem_of(each, tree, spoiled)) is not None]
        return None, _sound_parts(tree, errors), found
    return description, description, []


def _sound_parts(tree: Mapping, errors: list[Any]) -> Description | None:
    """Return the description less every entry that has a problem."""
    data = plain(tree)
    for section, *rest in (error["loc"] for error in errors if error["loc"]):
        entries = data.get(section)
        if isinstance(entries, dict) and rest:
            entries.pop(str(rest[0]), None)
        else:
            data.pop(section, None)
    try:
        return Description.model_validate({**data, **_STAND_IN})
    except ValidationError:
        return None
