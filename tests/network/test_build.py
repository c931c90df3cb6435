"""From a description to terminals, contacts, joins, bonds and ways."""

import pytest

from asfitted.description.load import load_text
from asfitted.description.schema import INSULATIONS
from asfitted.network.build import TEMPERATURE_C, build, input_terminals, output_terminals
from asfitted.network.checks import check_network
from asfitted.network.model import Bond, Contact, Join
from asfitted.network.paths import path
from asfitted.network.states import states

from .builds import HEAD, SOUND, network_of, sound_but


def test_a_description_with_problems_has_no_network():
    with pytest.raises(ValueError, match="no network"):
        build(load_text(SOUND.replace("RCBO C16", "RBCO C16")))


def test_every_insulation_has_its_temperature():
    assert {text: float(text.split()[1]) for text in INSULATIONS} == TEMPERATURE_C


def test_terminals_of_a_device_and_of_a_bar():
    network = sound_but()
    assert network.items["QF1"].terminals == ("QF1.in.L", "QF1.in.N", "QF1.out.L", "QF1.out.N")
    assert network.items["earth_bar"].terminals == ("earth_bar",)
    assert network.items["inverter"].terminals == (
        "inverter.L", "inverter.N", "inverter.PE", "inverter.minus", "inverter.plus",
    )  # fmt: skip
    assert network.owner["changeover.source 2.N"] == "changeover"


def test_poles_that_open_and_conductors_that_pass():
    network = sound_but(("RCBO C16 in inlet board", "RCBO C16 1P in inlet board"))
    of_qf1 = [contact for contact in network.contacts if contact.equipment == "QF1"]
    assert of_qf1 == [Contact("QF1", "L", "QF1.in.L", "QF1.out.L")]
    both = [contact for contact in network.contacts if contact.equipment == "changeover"]
    assert {(c.conductor, c.position) for c in both} == {
        (conductor, position) for conductor in ("L", "N") for position in ("source 1", "source 2")
    }


def test_a_single_pole_transfer_switch_leaves_the_neutrals_joined():
    network = sound_but(("transfer switch: 25 A 2P", "transfer switch: 25 A 1P"))
    assert Join("changeover.source 1.N", "changeover.out.N", "same metal") in network.joins
    assert {c.conductor for c in network.contacts if c.equipment == "changeover"} == {"L"}


def test_the_coupler_of_an_inlet_opens_all_conductors_at_once():
    network = sound_but()
    assert {c.conductor for c in network.contacts if c.equipment == "inlet"} == {"L", "N", "PE"}


@pytest.mark.parametrize(
    ("kind", "lands_on", "bond"),
    [
        ("fixed", "own earth terminal", Bond("inverter", "inverter.N", "inverter.PE", "always")),
        ("fixed", "earth_bar", Bond("inverter", "inverter.N", "earth_bar", "always")),
        (
            "closed when inverting",
            "own earth terminal",
            Bond("inverter", "inverter.N", "inverter.PE", "inverting"),
        ),
        ("none", "own earth terminal", None),
    ],
)
def test_the_bond_of_an_inverter(kind: str, lands_on: str, bond: Bond | None):
    network = sound_but(
        ("{kind: fixed, lands on: own earth terminal}", f"{{kind: {kind}, lands on: {lands_on}}}")
    )
    assert [b for b in network.bonds if b.equipment == "inverter"] == ([bond] if bond else [])


def test_a_supply_is_bonded_unless_it_is_it():
    assert Bond("site", "site.N", "site.PE") in sound_but().bonds
    assert not [b for b in sound_but(("16 A TN-S", "16 A IT")).bonds if b.equipment == "site"]


def test_ends_at_which_a_thing_gives_or_takes_ac():
    network = sound_but()
    assert output_terminals(network.items["inverter"]) == ("inverter.L", "inverter.N")
    assert output_terminals(network.items["desk"]) is None
    assert input_terminals(network.items["desk"]) == ("desk.L", "desk.N")
    assert input_terminals(network.items["charger"]) == ("charger.L", "charger.N")


def test_the_way_from_the_supply_to_a_socket():
    network = sound_but()
    plugged = next(s for s in states(network) if s.name == "plugged in")
    way = path(plugged, "site.L", "desk.L")
    assert way is not None
    passed = [
        getattr(step.element, "cable", getattr(step.element, "equipment", "")) for step in way if step.element
    ]
    assert passed == ["W1", "inlet", "W2", "QF1", "W3", "changeover", "W7", "F1", "W10"]
    assert path(plugged, "site.L", "desk.L", without="QF1") is None
    assert path(plugged, "site.L", "desk.L", without="W7") is None
    assert path(plugged, "inverter.L", "desk.L") is None
    assert path(plugged, "site.L", "earth_bar") is None, "never through earth"


# ---- checks beyond those of the faulty descriptions


def codes(text: str) -> list[tuple[str, str]]:
    return [(p.code, str(p.fields.get("id", p.fields.get("a")))) for p in check_network(network_of(text))]


def test_a_class_ii_load_needs_no_protective_conductor():
    text = """
sources: {grid: {ac supply: 230 V 50 Hz 16 A TN-S, upstream: C16}}
equipment: {heater: {kind: load, class: II, loads: {heater: 1 kW}}, body: structure}
runs: [{ac: [grid, W1: 5 m L N, heater]}, {earth: [grid, W2: 5 m, body]}]
"""
    assert codes(HEAD + text) == []
    assert codes(HEAD + text.replace("class: II", "class: I")) == [("earth terminal open", "heater")]


def test_a_spare_device_is_no_fault_of_the_wiring():
    board = "  DC board:\n    F21"
    spare = SOUND.replace(board, f"    F2: {{RCBO: 10 A}}\n{board}")
    assert codes(spare) == []
    fed = spare.replace("runs:\n", "runs:\n  - ac: [l_bar, W70: 1 m, F2]\n")
    assert ("terminal open", "F2") in codes(fed)


def test_a_sound_build_has_no_faults():
    assert check_network(sound_but()) == []
