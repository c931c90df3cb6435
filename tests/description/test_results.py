"""Results as they are typed: every problem at its line and column, and nothing ever written."""

import json
import re

import jsonschema
import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st
from tests.conftest import EXAMPLES

from asfitted.description.jsonschema import results_schema
from asfitted.description.problems import render_all
from asfitted.description.results import Reading, load_results, read_reading, read_results

SOUND = """\
results: 1
build: PL-1
revision: 2
sessions:
  - date: 2026-05-20
    by: the builder
    weather: dry
    temperature: 14 °C
    instruments:
      low-ohm: {serial: LR-1, calibrated: 2026-01-19}
    readings:
      covers: pass
      continuity.tea_corner: 0.06 ohm
      insulation.tea_corner: over 200 Mohm (lamps out)
      rcd-trip.tea_corner: {plugged in: 22 ms, on the road: limitation (no tester)}
"""
#: what is written instead of what, where the caret stands, the code, and words that the answer must hold
FAULTS = [
    ("results: 1", "results: 0", (1, 10), "results version", "form 0"),
    ("2026-05-20", "20.5.2026", (5, 11), "not a date", "2026-04-03"),
    ("by: the builder", "buy: the builder", (6, 5), "results field", "by"),
    ("    weather: dry\n", "", (5, 5), "results missing", "weather"),
    ("14 °C", "14", (8, 18), "missing unit", "14 °C"),
    ("14 °C", "14 V", (8, 18), "wrong dimension", "°C"),
    ("serial: LR-1, ", "", (10, 16), "results missing", "serial"),
    ("covers: pass", "covers: passed", (12, 15), "not a reading", "“pass”"),
    ("0.06 ohm", "0,06 ohm", (13, 30), "decimal comma", "0.06 ohm"),
    ("limitation (no tester)", "limitation", (15, 61), "reason missing", "limitation (the reason)"),
    ("22 ms", "[22 ms]", (15, 41), "reading expected", "0.06 ohm"),
    ("covers: pass", "covers: pass\n      covers: fail", (13, 7), "duplicate key", "12:7"),
]


def test_what_is_sound_is_read_whole():
    file = read_results(SOUND)
    assert file.problems == ()
    [session] = file.sessions
    assert (session.date, session.by, session.temperature_c) == ("2026-05-20", "the builder", 14)
    assert [(e.test, e.state, e.reading.text) for e in session.entries] == [
        ("covers", "", "pass"),
        ("continuity.tea_corner", "", "0.06 ohm"),
        ("insulation.tea_corner", "", "over 200 Mohm (lamps out)"),
        ("rcd-trip.tea_corner", "plugged in", "22 ms"),
        ("rcd-trip.tea_corner", "on the road", "limitation (no tester)"),
    ]
    over = session.entries[2].reading
    assert (over.bound, over.value("insulation"), over.note) == (">", 200e6, "lamps out")


@pytest.mark.parametrize(
    ("old", "new", "mark", "code", "says"), FAULTS, ids=[f"{f[3]} {f[1][:12]}" for f in FAULTS]
)
def test_a_slip_is_shown_at_its_place(old, new, mark, code, says):
    assert SOUND.count(old) == 1
    file = read_results(SOUND.replace(old, new))
    said = render_all(file.problems, "results.yaml", file.text)
    assert [(p.code, (p.mark.line, p.mark.column)) for p in file.problems if p.code == code] == [
        (code, mark)
    ], said
    assert says in said


def test_a_file_that_is_no_tree_is_reported_and_left_as_it_is(tmp_path):
    path = tmp_path / "results.yaml"
    path.write_text("results: 1\n  sessions: [", encoding="utf-8")
    before = path.read_bytes()
    [file] = load_results(tmp_path).files
    assert file.problems
    assert file.problems[0].mark.line == 2
    assert path.read_bytes() == before


def test_every_file_beside_the_description_counts_and_the_sittings_are_in_the_order_of_their_dates(tmp_path):
    later = SOUND.replace("2026-05-20", "2026-06-01")
    (tmp_path / "results-2026.yaml").write_text(later, encoding="utf-8")
    (tmp_path / "results.yaml").write_text(SOUND, encoding="utf-8")
    assert [s.date for s in load_results(tmp_path).sessions] == ["2026-05-20", "2026-06-01"]


@given(st.floats(0, 1e6).map(lambda x: f"{x:.6f}"), st.sampled_from(["ohm", "V", "ms", "mA"]))
def test_a_figure_with_a_unit_is_a_reading(number, unit):
    found = read_reading(f"{number} {unit}")
    assert isinstance(found, Reading)
    assert found.figure == f"{number} {unit}"


def test_json_schema_takes_what_the_reader_takes():
    schema = results_schema()
    jsonschema.Draft7Validator.check_schema(schema)
    example = (EXAMPLES / "paper_lantern" / "results.yaml").read_text(encoding="utf-8")
    for text in (SOUND, example):
        data = json.loads(json.dumps(yaml.load(text, Loader=yaml.BaseLoader)))  # noqa: S506  (texts only)
        data |= {"results": 1, "revision": 2}
        jsonschema.validate(data, schema)
    spoilt = json.loads(json.dumps(data))
    spoilt["sessions"][0]["readings"]["covers"] = "passed"
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(spoilt, schema)
    assert re.fullmatch(schema["definitions"]["Reading"]["pattern"], "over 200 Mohm (lamps out)")
