"""Tests by eye, before any instrument is taken out."""

from collections.abc import Iterator

from asfitted.studies.commissioning.plan import ONCE, Subject, Test

ALWAYS = (
    "documents",
    "covers",
    "conductors",
    "devices",
    "protective-path",
    "labels",
    "accessories",
    "isolators-reached",
)


def inspection(subject: Subject) -> Iterator[Test]:
    """Yield the tests by eye in their order."""
    network = subject.network
    for code in ALWAYS:
        yield Test(code, "inspection", ONCE)
    if network.of_kind("transfer switch", "selector switch", "inverter charger"):
        yield Test("neutral-bars", "inspection", ONCE)
    if network.of_kind("supply inlet"):
        yield Test("inlet-and-lead", "inspection", ONCE)
    if network.of_kind("solar array"):
        yield Test("solar-warning", "inspection", ONCE)
    for bond in network.bonds:
        if network.items[bond.equipment].kind != "ac supply":
            yield Test("bond-seen", "inspection", ONCE, bond.equipment)
    for battery in network.of_kind("battery"):
        yield Test("battery-fixing", "inspection", ONCE, battery.id)
    # what stayed shut is said last, when everything else has been seen
    yield Test("opened", "inspection", ONCE)
