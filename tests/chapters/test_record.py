"""record.json of every example is what its schema says, as strict JSON, and nothing else."""

import json
from functools import cache
from pathlib import Path

import jsonschema
import pytest
from tests.conftest import EXAMPLES

from asfitted.chapters import record as record_module
from asfitted.chapters.record import FORMAT, record
from asfitted.description.load import load
from asfitted.studies.study import Study, study

SCHEMA = json.loads((Path(record_module.__file__).parent / "record.schema.json").read_text(encoding="utf-8"))
BUILDS = sorted(path.parent.name for path in EXAMPLES.glob("*/build.yaml"))


@cache
def studied(name: str) -> Study:
    return study(load(EXAMPLES / name / "build.yaml"))


def parsed(name: str) -> dict:
    def refuse(constant: str) -> None:
        raise AssertionError(f"{constant} is no JSON")

    text = json.dumps(record(studied(name), "f" * 64), ensure_ascii=False)
    return json.loads(text, parse_constant=refuse)


def test_schema_is_draft_7_and_of_this_format():
    jsonschema.Draft7Validator.check_schema(SCHEMA)
    assert SCHEMA["properties"]["format"]["const"] == FORMAT


def test_every_key_is_described():
    def undescribed(node: dict, path: str):
        for name, child in node.get("properties", {}).items():
            if node.get("additionalProperties") is False and path and "limit" not in path:
                assert child.get("description"), f"{path}.{name}"
            undescribed(child, f"{path}.{name}")
        if isinstance(node.get("items"), dict):
            undescribed(node["items"], path)

    undescribed(SCHEMA, "")


@pytest.mark.parametrize("name", BUILDS)
def test_records_follow_the_schema(name):
    found = parsed(name)
    errors = sorted(jsonschema.Draft7Validator(SCHEMA).iter_errors(found), key=str)
    assert not errors, [f"{'/'.join(map(str, e.absolute_path))}: {e.message[:200]}" for e in errors[:5]]


@pytest.mark.parametrize("name", BUILDS)
def test_a_reader_finds_what_the_record_names(name):
    """Ids in one part of the record are defined in another."""
    found = parsed(name)
    states = {state["id"] for state in found["states"]}
    known = {item["id"] for item in (*found["equipment"], *found["cables"])}
    assert found["faults"]
    for fault in found["faults"]:
        assert fault["state"] is None or fault["state"] in states
        devices = {o["device"] for o in fault["opened"]} | set(fault["residual_a"])
        assert {id_.removesuffix(" upstream").removesuffix(" transfer") for id_ in devices} <= known
        times = [operation["time_s"] for operation in fault["opened"]]
        assert times == sorted(times)
        if fault["outcome"] in ("cleared", "source collapsed"):
            assert times
        if fault["verdict"] == "stays":
            assert fault["touch_time_s"] is None


def test_a_record_that_is_not_one_is_refused():
    spoilt = parsed("paper_lantern")
    spoilt["faults"][0]["outcome"] = "fine"
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(spoilt, SCHEMA)
