"""Rules of expansion, each on a build that holds little else."""

from pathlib import Path

import pytest

from asfitted.description.landing import poles_contacts
from asfitted.description.load import Loaded, load_text

SOUND = (Path(__file__).parent / "faulty" / "sound.yaml").read_text(encoding="utf-8")
HEAD = """
asfitted: 1
build: {title: T, reference: T-1, setting: cabin, use: lived in, rules: IEC 60364, ambient: 30 °C,
        lowest temperature: 0 °C}
revisions: {1: "2026-03-02, builder, first issue"}
defaults: {RCBO: B 2P 30 mA type A 6 kA, breaker: B 2P 6 kA, ac cable: 2.5 mm², dc cable: 4 mm²,
           earth cable: 6 mm²}
boards:
  A: {line bar: l_bar, neutral bar: n_bar, earth bar: e_bar}
  D: {plus bar: p_bar, minus bar: m_bar}
sources:
  site: {ac supply: 230 V 50 Hz 16 A TN-S, upstream: C16}
  bat: {battery: LiFePO4 25.6 V 200 Ah}
equipment:
  body: structure
  pole: {earth electrode: 20 ohm}
  change: {transfer switch: 25 A 2P, in: A, rest position: source 2}
"""


def loaded(rest: str) -> Loaded:
    result = load_text(HEAD + rest)
    assert [str(p.mark) + " " + p.sentence("message") for p in result.problems] == []
    return result


def cores(rest: str, cable: str = "W1") -> dict[str, tuple[str, str]]:
    description = loaded(rest).description
    assert description is not None
    return {name: tuple(ends) for name, ends in description.cables[cable].cores.items()}


def links(rest: str) -> set[tuple[str, str]]:
    description = loaded(rest).description
    assert description is not None
    return {(a, b) for a, b in description.links}


# 1. conductors of a run


def test_an_ac_cable_has_line_neutral_and_earth():
    assert cores("runs: [{ac: [site, W1: 5 m, F1: RCBO C16 in A]}]") == {
        "L": ("site.L", "F1.in.L"), "N": ("site.N", "F1.in.N"), "PE": ("site.PE", "e_bar"),
    }  # fmt: skip


def test_inside_one_board_an_ac_cable_has_no_earth():
    found = cores("runs: [{ac: [F1: RCBO C16 in A, W1: 0.3 m, change.source 1]}]")
    assert found == {"L": ("F1.out.L", "change.source 1.L"), "N": ("F1.out.N", "change.source 1.N")}


@pytest.mark.parametrize(
    ("kind", "a", "b", "expected"),
    [
        (
            "dc",
            "bat",
            "F1: {isolator: 32 A 2P}",
            {"plus": ("bat.plus", "F1.in.plus"), "minus": ("bat.minus", "F1.in.minus")},
        ),
        ("plus", "bat", "p_bar", {"plus": ("bat.plus", "p_bar")}),
        ("minus", "m_bar", "bat", {"minus": ("m_bar", "bat.minus")}),
        ("earth", "site", "body", {"PE": ("site.PE", "body")}),
        ("bond", "n_bar", "e_bar", {"bond": ("n_bar", "e_bar")}),
        ("L", "site", "l_bar", {"L": ("site.L", "l_bar")}),
        ("N", "site", "n_bar", {"N": ("site.N", "n_bar")}),
    ],
)
def test_every_other_run_has_its_own_conductors(kind: str, a: str, b: str, expected: dict):
    assert cores(f"runs: [{{{kind}: [{a}, W1: 16 mm² 1 m, {b}]}}]") == expected


def test_a_cable_may_name_its_conductors():
    assert cores("runs: [{ac: [site, W1: 5 m L N, F1: RCBO C16]}]") == {
        "L": ("site.L", "F1.in.L"), "N": ("site.N", "F1.in.N"),
    }  # fmt: skip


# 2. neighbours without a cable


def test_neighbours_without_a_cable_are_bolted_together():
    assert links("runs: [{plus: [bat, F1: fuse T 100 A, p_bar]}]") == {
        ("bat.plus", "F1.in.plus"), ("F1.out.plus", "p_bar"),
    }  # fmt: skip


# 3. direction


def test_a_device_is_entered_on_one_side_and_left_on_the_other_as_written():
    run = "runs: [{plus: [bat, W1: 1 m, F1: fuse T 100 A, W2: 1 m, p_bar]}]"
    assert cores(run, "W1") == {"plus": ("bat.plus", "F1.in.plus")}
    assert cores(run, "W2") == {"plus": ("F1.out.plus", "p_bar")}
    back = "runs: [{plus: [p_bar, W1: 1 m, F1: fuse T 100 A, W2: 1 m, bat]}]"
    assert cores(back, "W1") == {"plus": ("p_bar", "F1.in.plus")}


# 4. bars


def test_a_core_without_a_terminal_lands_on_the_bar_of_the_board():
    found = cores("runs: [{ac: [site, W1: 5 m, F1: breaker C16 1P in A]}]")
    assert found == {"L": ("site.L", "F1.in.L"), "N": ("site.N", "n_bar"), "PE": ("site.PE", "e_bar")}


def test_a_core_that_meets_a_board_lands_on_its_bars():
    assert cores("runs: [{ac: [site, W1: 5 m, A]}]") == {
        "L": ("site.L", "l_bar"), "N": ("site.N", "n_bar"), "PE": ("site.PE", "e_bar"),
    }  # fmt: skip


def test_the_only_bar_of_its_kind_serves_a_thing_in_no_board():
    assert cores("runs: [{ac: [site, W1: 5 m, F1: RCBO C16]}]")["PE"] == ("site.PE", "e_bar")


# 5. cores without a contact


def test_a_neutral_without_a_contact_passes_straight_through_a_device_in_no_board():
    run = "runs: [{ac: [site, W1: 5 m, F1: RCBO C16 1P, W2: 1 m, change.source 1]}]"
    assert cores(run, "W1")["N"] == ("site.N", "F1.in.N")
    assert cores(run, "W2")["N"] == ("F1.out.N", "change.source 1.N")
    description = loaded(run).description
    assert description is not None
    assert description.equipment["F1"].contacts == ("L",)  # type: ignore[attr-defined]


@pytest.mark.parametrize("device", ["RCBO: 16 A 1P", "RCD: 40 A 1P 30 mA type A", "GFCI breaker: 20 A 1P"])
def test_all_live_conductors_pass_through_a_device_that_compares_them(device: str):
    """Its load's neutral on the bar would return past the sensor, and it would trip at once."""
    row = f"circuits: {{A: {{F1: {{{device}, W1: 7 m, sockets: 1 × 16 A desk}}}}}}"
    assert cores(row)["N"] == ("F1.out.N", "desk.N")
    assert links(row) == {("l_bar", "F1.in.L"), ("n_bar", "F1.in.N")}
    description = loaded(row).description
    assert description is not None
    assert description.equipment["F1"].contacts == ("L",)  # type: ignore[attr-defined]


def test_the_neutral_of_a_plain_breaker_returns_to_the_bar():
    row = "circuits: {A: {F1: {breaker: C10 1P, W1: 7 m, sockets: 1 × 16 A desk}}}"
    assert cores(row)["N"] == ("n_bar", "desk.N")
    assert links(row) == {("l_bar", "F1.in.L")}


@pytest.mark.parametrize(
    ("poles", "conductors", "contacts"),
    [
        ("1P", ("L", "N", "PE"), ("L",)),
        ("1P+N", ("L", "N", "PE"), ("L", "N")),
        ("2P", ("L", "N", "PE"), ("L", "N")),
        ("2P", ("L1", "L2", "N", "PE"), ("L1", "L2")),
        ("", ("plus", "minus"), ("plus",)),
        ("2P", ("plus", "minus"), ("plus", "minus")),
        ("", ("minus",), ("minus",)),
        ("3P", ("L1", "L2", "N"), ("L1", "L2", "N")),
    ],
)
def test_poles_are_contacts(poles: str, conductors: tuple, contacts: tuple):
    assert poles_contacts(poles, conductors) == contacts


def test_the_protective_conductor_never_passes_through_a_device():
    run = "runs: [{ac: [site, W1: 5 m, F1: RCBO C16 in A, W2: 1 m, F2: RCBO C16, W3: 1 m, change.source 1]}]"
    description = loaded(run).description
    assert description is not None
    ends = [end for cable in description.cables.values() for end in cable.cores.get("PE", ())]
    assert not [end for end in ends if end.startswith(("F1", "F2"))]


# 6. circuits


def test_a_circuit_row_is_device_cable_and_sockets_with_their_loads():
    row = (
        "circuits: {A: {F1: {RCBO: 10 A, W1: 7 m, sockets: 4 × 16 A desk, place: hall, "
        "loads: {kettle: 1 kW pf 0.9}}}}"
    )
    description = loaded(row).description
    assert description is not None
    desk = description.equipment["desk"]
    assert (desk.KIND, desk.place, desk.count, desk.rating_a) == ("sockets", "hall", 4, 16)  # type: ignore[attr-defined]
    assert (desk.loads["kettle"].power_w, desk.loads["kettle"].power_factor) == (1000, 0.9)  # type: ignore[attr-defined]
    assert description.equipment["F1"].board == "A"
    assert cores(row) == {
        "L": ("F1.out.L", "desk.L"),
        "N": ("F1.out.N", "desk.N"),
        "PE": ("e_bar", "desk.PE"),
    }


def test_the_device_of_a_circuit_that_no_run_feeds_is_bolted_to_the_bars_of_its_board():
    row = "circuits: {A: {F1: {RCBO: 10 A, W1: 7 m, sockets: 4 × 16 A desk}}}"
    assert links(row) == {("l_bar", "F1.in.L"), ("n_bar", "F1.in.N")}
    fed = row + "\nruns: [{ac: [site, W2: 1 m, F1]}]"
    assert links(fed) == set()


def test_a_dc_circuit_goes_from_the_fuse_and_comes_back_to_the_minus_bar():
    row = "circuits: {D: {F1: {fuse blade: 5 A 32 V dc 1 kA, W1: 3 m, load: lamps, loads: {lamps: 24 W}}}}"
    assert cores(row) == {"plus": ("F1.out.plus", "lamps.plus"), "minus": ("m_bar", "lamps.minus")}
    assert links(row) == {("p_bar", "F1.in.plus")}


def test_the_status_of_a_row_is_that_of_all_its_parts():
    row = "circuits: {A: {F1: {RCBO: 10 A, W1: 7 m, sockets: 4 × 16 A desk, status: planned}}}"
    description = loaded(row).description
    assert description is not None
    things = [description.equipment["F1"], description.equipment["desk"], description.cables["W1"]]
    assert [thing.status for thing in things] == ["planned"] * 3


def test_a_spare_way_is_the_device_alone():
    assert links("circuits: {A: {F1: {RCBO: 10 A}}}") == {("l_bar", "F1.in.L"), ("n_bar", "F1.in.N")}


# 7. defaults


def test_what_is_missing_comes_from_the_builders_defaults_and_what_is_said_stays():
    description = loaded(
        "runs: [{ac: [site, W1: 4 mm² 5 m, F1: RCBO C16 in A, W2: 1 m, change.source 1]}]"
    ).description
    assert description is not None
    device = description.equipment["F1"]
    assert (device.curve, device.rating_a, device.residual_a) == ("C", 16, 0.03)  # type: ignore[attr-defined]
    sizes = [getattr(description.cables[name].size, "designation", "") for name in ("W1", "W2")]
    assert sizes == ["4 mm²", "2.5 mm²"]


def test_a_default_of_one_type_of_fuse_does_not_fill_in_another():
    rest = "runs: [{plus: [bat, F1: fuse T 100 A, F2: fuse blade 10 A, p_bar]}]"
    text = HEAD.replace("defaults: {", "defaults: {fuse T: 125 V dc 20 kA, ") + rest
    description = load_text(text).description
    assert description is not None
    assert description.equipment["F1"].dc_voltage_v == 125  # type: ignore[attr-defined]
    assert description.equipment["F2"].dc_voltage_v is None  # type: ignore[attr-defined]


def test_a_class_of_cable_of_the_builders_own_is_named_in_the_text():
    rest = "runs: [{plus: [bat, W1: fat cable 1 m, p_bar]}]"
    description = load_text(
        HEAD.replace("defaults: {", "defaults: {fat cable: 70 mm² EPR 90 °C, ") + rest
    ).description
    assert description is not None
    assert getattr(description.cables["W1"].size, "designation", "") == "70 mm²"
    assert description.cables["W1"].insulation == "EPR 90 °C"


# 8. planned sizes


def test_auto_and_at_least_are_sizes_of_a_planned_cable():
    run = (
        "runs: [{plus: [bat, W1: auto 1 m planned, F1: fuse T 100 A, "
        "W2: at least 16 mm² 1 m planned, p_bar]}]"
    )
    description = loaded(run).description
    assert description is not None
    assert description.cables["W1"].size == "auto"
    assert description.cables["W2"].size == "auto"
    assert getattr(description.cables["W2"].at_least, "designation", "") == "16 mm²"


# forms of equipment


@pytest.mark.parametrize(
    "form",
    [
        "F1: RCBO C16 2P 30 mA type A 6 kA",
        "F1: {RCBO: C16 2P 30 mA type A 6 kA}",
        "F1: {RCBO C16: 2P 30 mA type A 6 kA}",
        "F1: {RCBO: C16, poles: 2P, residual current: 30 mA, residual type: A, breaking capacity: 6 kA}",
        "F1: {kind: RCBO, curve: C, rating: 16 A, poles: 2P, residual current: 0.03 A, residual type: A,"
        " breaking capacity: 6 kA}",
    ],
)
def test_all_forms_of_a_device_mean_the_same(form: str):
    description = load_text(HEAD + f"  {form}\n").description
    assert description is not None
    device = description.equipment["F1"]
    values = device.model_dump(exclude={"contacts"})
    reference = load_text(HEAD + "  F1: RCBO C16 2P 30 mA type A 6 kA\n").description
    assert reference is not None
    assert values == reference.equipment["F1"].model_dump(exclude={"contacts"})


def test_fields_inside_a_site_are_read_like_those_of_the_supply():
    fair = "{prospective fault current: at most 3 kA, loop impedance: at most 1 ohm}"
    text = HEAD.replace("upstream: C16}", f"upstream: C16, at: {{fair: {fair}}}}}")
    description = load_text(text).description
    assert description is not None
    found = description.equipment["site"].at["fair"]  # type: ignore[attr-defined]
    assert (found.fault_current_max_a, found.loop_impedance_max_ohm) == (3000, 1)


def test_loads_may_be_texts_or_entries():
    row = (
        "circuits: {A: {F1: {RCBO: 10 A, W1: 7 m, sockets: 1 × 16 A desk, "
        "loads: {a: 5 A motor, b: {power: 100 W, class: II}}}}}"
    )
    description = loaded(row).description
    assert description is not None
    found = description.equipment["desk"].loads  # type: ignore[attr-defined]
    assert (found["a"].current_a, found["a"].duty, found["b"].power_w, found["b"].safety_class) == (
        5,
        "motor",
        100,
        "II",
    )


def test_two_lines_land_on_bars_of_their_own():
    text = HEAD.replace("line bar: l_bar", "line 1 bar: l1_bar, line 2 bar: l2_bar")
    description = load_text(text + "runs: [{ac: [site, W1: 5 m L1 L2 N PE, A]}]").description
    assert description is not None
    assert description.cables["W1"].cores["L1"] == ["site.L1", "l1_bar"]
    assert description.cables["W1"].cores["L2"] == ["site.L2", "l2_bar"]


@pytest.mark.parametrize(
    ("written", "size", "cores"),
    [
        ("3G2.5 mm2", "2.5 mm²", ["L", "N", "PE"]),
        ("3G2.5", "2.5 mm²", ["L", "N", "PE"]),
        ("3 G 2.5", "2.5 mm²", ["L", "N", "PE"]),
        ("3x2.5", "2.5 mm²", ["L", "N", "PE"]),
        ("5G6 L N PE", "6 mm²", ["L", "N", "PE"]),
        ("2X2.5", "2.5 mm²", ["L", "N"]),
        ("3G2.5 L N", "2.5 mm²", ["L", "N"]),
    ],
)
def test_a_cable_as_it_is_printed_on_its_sheath(written: str, size: str, cores: list[str]):
    assert SOUND.count("W2: 1 m,") == 1
    loaded = load_text(SOUND.replace("W2: 1 m,", f"W2: {written} 1 m,"))
    assert [p.sentence("message") for p in loaded.problems] == []
    cable = loaded.description.cables["W2"]
    assert (cable.size.designation, list(cable.cores)) == (size, cores)


def test_a_default_says_how_thick_the_cores_are_not_how_many():
    loaded = load_text(SOUND.replace("ac cable: 2.5 mm²", "ac cable: 3G2.5"))
    assert loaded.problems == ()
    assert len(loaded.description.cables["W3"].cores) == 2, (
        "within one board there is no protective conductor"
    )


@pytest.mark.parametrize("kind", ["none", "fixed", "closed when inverting"])
def test_a_neutral_bond_may_be_said_in_one_word(kind: str):
    group = "{kind: fixed, lands on: own earth terminal}"
    loaded = load_text(SOUND.replace(group, kind))
    assert loaded.problems == ()
    bond = loaded.description.equipment["inverter"].neutral_bond
    assert (bond.kind, bond.lands_on, bond.allowed_by_maker) == (kind, "own earth terminal", "not stated")


def test_a_terminal_in_a_run_of_its_own_conductor_is_the_thing_itself():
    assert (
        load_text(
            SOUND.replace("W22: battery cable 0.5 m, inverter]", "W22: battery cable 0.5 m, inverter.plus]")
        ).problems
        == ()
    )
    text = SOUND.replace(
        "- ac: [inlet board, W3: 0.5 m, changeover.source 1]",
        "- L: [s_line, W3: 0.5 m, changeover.source 1.L]\n  - N: [s_neutral, W33: 0.5 m, changeover.source 1.N]",
    )
    loaded = load_text(text)
    assert loaded.problems == ()
    assert loaded.description.cables["W33"].cores == {"N": ["s_neutral", "changeover.source 1.N"]}


@pytest.mark.parametrize(
    "section", ["boards", "bundles", "spaces", "sources", "equipment", "runs", "circuits", "days", "states"]
)
def test_a_misspelt_section_is_one_problem(section: str):
    text = SOUND.replace(f"\n{section}:", f"\n{section}x:")
    assert [(p.code, p.fields["key"]) for p in load_text(text).problems] == [
        ("unknown section", f"{section}x")
    ]


@pytest.mark.parametrize(
    ("find", "write"),
    [
        ("body: structure", "body: {structure}"),
        ("{battery charger: 24 V 20 A, efficiency: 92 %}", "battery charger, 24 V 20 A"),
        ("2 × 16 A desk", "2 * 16 A desk"),
        ("lowest temperature: -10 °C", "lowest temperature: −10 °C"),
    ],
)
def test_what_can_only_mean_one_thing_is_taken(find: str, write: str):
    assert SOUND.count(find) == 1
    assert [p.sentence("message") for p in load_text(SOUND.replace(find, write)).problems] == []
