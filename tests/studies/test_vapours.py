"""What may stand and lead where gas or petrol vapour collects, and what may not."""

import pytest

from asfitted.studies.results import Grade

from .small import LAUNCH, VEHICLE, sizing

LOCKER = ('spaces: {roof void: "60 °C', 'spaces: {gas locker: gas cylinders, roof void: "60 °C')
LAMPS = "F21: {fuse blade: 7.5 A, W31: 2.5 mm² 7 m, load: lamps"
AFTER = "power factor: 0.98}"
ALTERNATOR = "{alternator: 14 V 90 A}"


def of_vapour(*edits, of):
    known = {f.code for f in sizing(of=of).findings}
    return {(f.code, f.grade) for f in sizing(*edits, of=of).findings if f.code not in known}


def aboard(words, *edits):
    """Return what is found in a launch with one space, described by `words`."""
    return of_vapour(("boards:\n", f"spaces: {{bay: {words}}}\nboards:\n"), *edits, of=LAUNCH)


# IEC 60364-7-721 721.528.3 (from memory)
@pytest.mark.parametrize(
    ("edit", "expected"),
    [
        ((AFTER, AFTER[:-1] + ", space: gas locker}"), Grade.POTENTIAL),
        ((AFTER, AFTER[:-1] + ", space: gas locker, certified to: ignition protected}"), Grade.POTENTIAL),
        ((LAMPS, LAMPS + ", space: gas locker"), Grade.POTENTIAL),
        ((LAMPS, LAMPS + ", space: gas locker, certified to: ignition protected"), None),
    ],
    ids=["a charger", "a charger said to be protected: mains", "lamps", "protected lamps of extra-low voltage"],
)  # fmt: skip
def test_nothing_electrical_belongs_in_the_gas_locker_of_a_vehicle(edit, expected):
    wanted = {("equipment-in-gas-locker", expected)} if expected else set()
    assert of_vapour(LOCKER, edit, of=VEHICLE) == wanted


def test_cables_through_the_gas_locker():
    loose = ("W31: 2.5 mm² 7 m", "W31: 2.5 mm² 7 m through gas locker")
    conduit = ("W31: 2.5 mm² 7 m", "W31: 4 mm² 7 m in conduit through gas locker")
    assert of_vapour(LOCKER, loose, of=VEHICLE) == {("cable-in-gas-locker", Grade.POTENTIAL)}
    assert of_vapour(LOCKER, conduit, of=VEHICLE) == {("cable-in-gas-locker-height", Grade.INVESTIGATION)}


# 33 CFR 183.410(a): each electrical component, not switches alone; a terminal and a battery cannot ignite by themselves
@pytest.mark.parametrize(
    ("edit", "found"),
    [
        ((ALTERNATOR, "{alternator: 14 V 90 A, space: bay}"), True),
        (
            (ALTERNATOR, "{alternator: 14 V 90 A, space: bay, certified to: ISO 8846 ignition protected}"),
            False,
        ),
        (("F15: fuse bolt-down 100 A", "F15: fuse bolt-down 100 A through bay"), True),
        (("12 V to 12 V 30 A", "12 V to 12 V 30 A, space: bay"), True),
        (("lead-acid flooded 12 V 90 Ah", "lead-acid flooded 12 V 90 Ah, space: bay"), False),
    ],
    ids=["alternator", "protected alternator", "fuse", "converter", "battery"],
)
def test_beside_a_petrol_engine(edit, found):
    wanted = {("not-ignition-protected", Grade.POTENTIAL)} if found else set()
    assert aboard("petrol", edit) == wanted
    assert aboard("diesel", edit) == set()


def test_an_engine_in_the_open_air_of_the_road_is_another_thing():
    van = LAUNCH.replace("setting: boat", "setting: road vehicle").replace(
        "boards:\n", "spaces: {bay: petrol}\nboards:\n"
    )
    by_engine = (ALTERNATOR, "{alternator: 14 V 90 A, space: bay}")
    fuse = ("F15: fuse bolt-down 100 A", "F15: fuse bolt-down 100 A through bay")
    assert of_vapour(by_engine, of=van) == set()
    assert of_vapour(fuse, of=van) == {("not-ignition-protected", Grade.INVESTIGATION)}


def test_a_battery_beside_the_tank_is_to_be_looked_at():
    battery = ("lead-acid flooded 12 V 90 Ah", "lead-acid flooded 12 V 90 Ah, space: bay")
    assert aboard("petrol tank", battery) == {("battery-beside-fuel", Grade.INVESTIGATION)}


def test_a_petrol_engine_asks_where_it_stands():
    engine = ("setting: boat", "setting: boat, engine: petrol")
    assert of_vapour(engine, of=LAUNCH) == {("petrol-space-not-described", Grade.INVESTIGATION)}
    assert aboard("petrol", engine) == {("petrol-place-not-stated", Grade.INVESTIGATION)}
    sound = (ALTERNATOR, "{alternator: 14 V 90 A, space: bay, certified to: ISO 8846 ignition protected}")
    assert aboard("petrol", engine, sound) == set()
