"""Readings judged: converted, brought to 20 °C, held against limits; what cannot be is pointed out."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfitted.description.load import load, load_text
from asfitted.description.results import Results, load_results, read_results
from asfitted.studies.commissioning.conductors import at_20c
from asfitted.studies.commissioning.judge import compare
from asfitted.studies.commissioning.plan import Expected
from asfitted.studies.results import Grade
from asfitted.studies.study import study
from tests.conftest import EXAMPLES
from tests.studies.builds import EXAMPLE, studied, varied

HEAD = """\
results: 1
build: PL-1
revision: 2
sessions:
"""


def sitting(
    readings: str, date: str = "2026-05-20", temperature: str = "20 °C", calibrated: str = "2026-01-19"
) -> str:
    names = ("low-ohm", "insulation", "loop", "rcd", "loaded", "voltmeter")
    instruments = "".join(f"      {n}: {{serial: X-1, calibrated: {calibrated}}}\n" for n in names)
    return (
        f"  - date: {date}\n    by: builder\n    weather: dry\n    temperature: {temperature}\n"
        f"    instruments:\n{instruments}    readings:\n"
        + "".join(f"      {line}\n" for line in readings.split("\n"))
    )


def judged_from(*sittings: str):
    file = read_results(HEAD + "".join(sittings))
    assert file.problems == ()
    return study(load_text(varied(), EXAMPLE), Results((file,))).commissioning


def findings(done, code=""):
    return [f for f in done.findings if f.code != "tests-missing" and (not code or f.code == code)]


# IEC 60228 Annex A, temperature correction factors k_t for conductor resistance to 20 °C (from memory), copper:
# 10 °C 1.042 (printed as 1.041 in IEC 60228:2004 Table A.1), 15 °C 1.020, 25 °C 0.980, 30 °C 0.962
@pytest.mark.parametrize(("celsius", "factor"), [(10, 1.041), (15, 1.020), (25, 0.980), (30, 0.962)])
def test_correction_to_20_degrees_of_iec_60228_table_a1_from_memory(celsius, factor):
    assert at_20c(1.0, celsius) == pytest.approx(factor, abs=1.5e-3)


def test_hot_conductors_of_the_on_site_guide_have_a_fifth_more_from_memory():
    """PVC at 70 °C: factor 1.20 from 20 °C (BS 7671 guidance, from memory)."""
    assert 1 / at_20c(1.0, 70) == pytest.approx(1.20, abs=0.005)


def test_a_warm_reading_passes_that_a_cold_one_would_not():
    # tea corner: at most 1.2 · 39.9 mΩ + 50 mΩ = 97.9 mΩ at 20 °C; 0.10 Ω at 30 °C is 96.2 mΩ
    warm = judged_from(sitting("continuity.tea_corner: 0.1 ohm", temperature="30 °C"))
    cold = judged_from(sitting("continuity.tea_corner: 0.1 ohm", temperature="10 °C"))
    assert warm.judgement.last("continuity.tea_corner", "").verdict == "pass"
    assert cold.judgement.last("continuity.tea_corner", "").verdict == "fail"


@given(st.floats(0.001, 1e3), st.floats(0.001, 1e3), st.floats(0.001, 1e3))
def test_a_verdict_is_pass_exactly_between_its_limits(value, one, other):
    low, high = sorted((one, other))
    assert (compare(Expected("V", None, low, high), value) == "pass") == (low <= value <= high)


def test_more_than_and_less_than():
    at_least = Expected("Mohm", low=1e6)
    assert compare(at_least, 200e6, ">") == "pass"
    assert compare(at_least, 0.2e6, ">") == "unsure"
    assert compare(at_least, 0.5e6, "<") == "fail"


def test_a_failed_test_is_a_finding_of_its_class_at_its_line():
    done = judged_from(
        sitting("continuity.heater: 0.31 ohm\npins-dead.inlet.L-N: {on the road: 230 V}\nshutdown: 45 s")
    )
    found = {f.where[-1]: f for f in findings(done, "test-failed")}
    assert found["continuity.heater"].grade is Grade.POTENTIAL
    assert found["pins-dead.inlet.L-N"].grade is Grade.DANGER
    assert found["shutdown"].grade is Grade.IMPROVEMENT
    assert found["continuity.heater"].file == "results.yaml"
    assert found["continuity.heater"].mark.line == HEAD.count("\n") + 13


def test_a_test_done_again_keeps_both_readings_and_the_last_counts():
    done = judged_from(
        sitting("continuity.heater: 0.06 ohm", date="2026-05-21"),
        sitting("continuity.heater: 0.31 ohm", date="2026-05-20"),
    )
    both = done.judgement.readings["continuity.heater", ""]
    assert [(j.session.date, j.verdict) for j in both] == [("2026-05-20", "fail"), ("2026-05-21", "pass")]
    assert not findings(done, "test-failed")


def test_a_loop_that_the_cables_cannot_have_is_pointed_out():
    # the lead alone: 25 m of 2.5 mm², out and back, 0.4 Ω
    done = judged_from(sitting("loop.tea_corner: {plugged in: 0.12 ohm}"))
    [finding] = findings(done, "reading-contradicts")
    assert finding.grade is Grade.INVESTIGATION
    assert done.judgement.last("loop.tea_corner", "S1").verdict == "contradicts"


def test_missing_tests_are_one_finding_once_there_are_results_and_none_before():
    done = judged_from(sitting("covers: pass"))
    missing = next(f for f in done.findings if f.code == "tests-missing")
    assert missing.fields["count"] == len(done.missing) > 200
    assert studied().commissioning.findings == ()


def test_tested_without_results_is_asked_about():
    build = study(load_text(varied(("  body: structure", "  body: {structure: , status: tested}")), EXAMPLE))
    assert [f.code for f in build.commissioning.findings] == ["tested-without-results"]
    assert not any(f.grade.bars_publication for f in build.commissioning.findings)


def test_a_limitation_with_its_reason_is_no_finding_and_not_missing():
    done = judged_from(sitting("brown-out.changeover: limitation (no variable supply)"))
    assert ("brown-out.changeover", "") not in done.missing
    assert not findings(done)


@pytest.mark.parametrize(
    "line", ["continuity.kettle: 0.1 ohm", "rcd-trip.tea_corner: {in space: 22 ms}", "rcd-trip.tea_corner: 22 ms",
             "continuity.tea_corner: 22 ms"],
)  # fmt: skip
def test_a_reading_that_fits_no_test_stays_and_is_pointed_out(line):
    done = judged_from(sitting(line))
    [finding] = findings(done, "reading-not-used")
    assert finding.mark.line == HEAD.count("\n") + 13


def test_instruments_are_named_and_in_calibration():
    late = judged_from(sitting("continuity.heater: 0.06 ohm", calibrated="2024-01-01"))
    assert findings(late, "out-of-calibration")
    after = judged_from(sitting("continuity.heater: 0.06 ohm", calibrated="2026-09-01"))
    assert findings(after, "out-of-calibration")
    unnamed = judged_from(sitting("earth-current.inlet: {plugged in: 1.2 mA}"))
    [finding] = findings(unnamed, "instrument-not-named")
    assert finding.fields["instruments"] == "clamp"


def test_results_of_another_build_or_revision_are_pointed_out():
    other = read_results(
        (HEAD + sitting("covers: pass")).replace("PL-1", "ZZ-9").replace("revision: 2", "revision: 1")
    )
    done = study(load_text(varied(), EXAMPLE), Results((other,))).commissioning
    assert {"reading-not-used", "results-of-another-revision"} <= {f.code for f in done.findings}


def test_the_library_is_complete_with_one_test_failed_and_done_again():
    folder = EXAMPLES / "paper_lantern"
    done = study(load(folder / "build.yaml"), load_results(folder)).commissioning
    assert done.findings == ()
    assert done.missing == ()
    twice = {id_: [j.verdict for j in of] for (id_, _), of in done.judgement.readings.items() if len(of) > 1}
    assert twice == {"continuity.heater": ["fail", "pass"]}
