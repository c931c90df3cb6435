"""Values of a description: conductor sizes against ASTM B258, claims, limits and the forms of the trade."""

import math

import pytest
from pydantic import TypeAdapter, ValidationError

from asfitted.description import values

#: area in mm² as published in ASTM B258 and in NFPA 70 chapter 9 table 8 (circular mils × 5.067075e-4)
ASTM_B258_MM2 = {
    "18": 0.823, "16": 1.31, "14": 2.08, "12": 3.31, "10": 5.26,
    "8": 8.37, "6": 13.30, "4": 21.15, "3": 26.67,
    "2": 33.62, "1": 42.41, "1/0": 53.49, "2/0": 67.43, "3/0": 85.01, "4/0": 107.2,
}  # fmt: skip


@pytest.mark.parametrize(("awg", "mm2"), ASTM_B258_MM2.items())
def test_awg_areas_are_those_published(awg: str, mm2: float):
    size = values.size(f"{awg} AWG")
    assert size.mm2 == pytest.approx(mm2, rel=0.002)
    assert size.awg
    assert size.designation == f"{awg} AWG"


def test_fourteen_awg_is_smaller_than_2_5_mm2():
    assert values.size("14 AWG").mm2 < values.size("2.5 mm²").mm2


@pytest.mark.parametrize("text", ["2.5 mm²", "2.5mm²", "2.5 mm2"])
def test_one_size_written_in_several_ways(text: str):
    assert values.size(text) == values.Size(mm2=2.5, designation="2.5 mm²")


def problem(annotation: object, text: object) -> dict:
    with pytest.raises(ValidationError) as caught:
        TypeAdapter(annotation).validate_python(text)
    (error,) = caught.value.errors()
    return error["ctx"]


@pytest.mark.parametrize(
    ("text", "sizes"),
    [
        ("3 mm²", "2.5 mm² and 4 mm²"), ("0.3 mm²", "0.5 mm²"), ("400 mm²", "300 mm²"),
        ("5 AWG", "6 AWG and 4 AWG"), ("7 AWG", "8 AWG and 6 AWG"),
        ("20 AWG", "18 AWG"), ("5/0 AWG", "4/0 AWG"),
        ("15 AWG", "16 AWG and 14 AWG"),
    ],
)  # fmt: skip
def test_a_size_that_is_not_sold_names_its_neighbours(text: str, sizes: str):
    context = problem(values.ConductorSize, text)
    assert context["code"] == "no such size"
    assert context["fields"]["sizes"] == sizes


def test_auto_is_a_size_only_where_it_may_be():
    assert TypeAdapter(values.SizeOrAuto).validate_python("auto") == "auto"
    assert TypeAdapter(values.SizeOrAuto).validate_python("6 mm²").mm2 == 6
    assert problem(values.ConductorSize, "auto")["code"] == "not a size"


def test_claims_keep_each_figure_with_its_basis():
    found = TypeAdapter(values.claims("duration")).validate_python("0.3 s claimed, 420 ms measured")
    assert [(claim.value, claim.basis) for claim in found] == [(0.3, "claimed"), (0.42, "measured")]


@pytest.mark.parametrize(
    ("text", "code", "offset"),
    [
        ("60 ms", "basis missing", 0),
        ("60 ms claimed, 0.4 s", "basis missing", 15),
        ("60 ms claimed,", "basis missing", 14),
        ("60 ms claimed, 0.4 measured", "missing unit", 15),
        ("60 V claimed", "wrong dimension", 0),
    ],
)
def test_a_slip_in_a_claim_is_found_at_its_place(text: str, code: str, offset: int):
    context = problem(values.claims("duration"), text)
    assert (context["code"], context["fields"]["offset"]) == (code, offset)


def test_a_bound_demands_its_word():
    bound = values.bounded("resistance", "at most")
    assert TypeAdapter(bound).validate_python("at most 800 mohm") == pytest.approx(0.8)
    assert problem(bound, "0.8 ohm")["fields"]["right"] == "at most 0.8 ohm"
    assert problem(bound, "at most 0.8 V")["fields"]["offset"] == len("at most ")


def test_forms_of_the_trade():
    surge = TypeAdapter(values.SurgeText).validate_python("3.2 kW for 2 s")
    assert (surge.power_w, surge.duration_s) == (3200, 2)
    limit = TypeAdapter(values.OutputLimitText).validate_python("18 A for 60 ms, then latched off")
    assert (limit.current_a, limit.duration_s, limit.then) == (18, 0.06, "latched off")
    upstream = TypeAdapter(values.UpstreamText).validate_python("C16 + RCD 30 mA type A")
    assert (upstream.curve, upstream.rating_a, upstream.residual_a, upstream.residual_type) == (
        "C",
        16,
        0.03,
        "A",
    )
    assert TypeAdapter(values.UpstreamText).validate_python("B10").residual_a is None
    resistance = TypeAdapter(values.InternalResistanceText).validate_python(
        "4 mohm new and warm, 12 mohm aged and cold"
    )
    assert (resistance.new_warm_ohm, resistance.aged_cold_ohm) == (0.004, 0.012)


@pytest.mark.parametrize(("text", "value"), [("true", True), ("false", False), (True, True)])
def test_true_and_false_are_the_only_words_for_yes_and_no(text: object, value: bool):
    assert TypeAdapter(values.TrueOrFalse).validate_python(text) is value


@pytest.mark.parametrize("text", ["yes", "on", "1", "True", 1.5, []])
def test_other_words_for_yes_are_refused(text: object):
    if text != 1:
        assert problem(values.TrueOrFalse, text)["code"] == "not one of"


def test_impossible_values_are_refused():
    assert problem(values.Current, "0 A")["code"] == "out of range"
    assert problem(values.Voltage, "0 V")["code"] == "out of range"
    assert problem(values.Ratio, "120 %")["code"] == "out of range"
    assert problem(values.BreakingCapacity, "6 A")["code"] == "out of range"
    assert problem(values.Current, ["16 A"])["code"] == "text expected"


def test_the_formula_of_astm_b258():
    """Each gauge number is 92^(1/39) thinner than the one before; 4/0 is 0.46 inch, 36 is 0.005 inch."""
    assert math.sqrt(values.awg_area_mm2(-3) * 4 / math.pi) == pytest.approx(0.46 * 25.4, rel=1e-4)
    assert math.sqrt(values.awg_area_mm2(36) * 4 / math.pi) == pytest.approx(0.005 * 25.4, rel=1e-9)
