"""Tests of the alternating-current side while everything is dead (IEC 60364-6 6.4.3.2 to 6.4.3.4)."""

from collections.abc import Iterator

from asfitted.description.kinds import EarthElectrode, IsolatingTransformer
from asfitted.network.model import Core
from asfitted.studies.bonding import RESIDUAL_KINDS
from asfitted.studies.commissioning.conductors import conductors, cores_ohm
from asfitted.studies.commissioning.plan import ONCE, Expected, Subject, Test, once
from asfitted.studies.coverage import residual_a
from asfitted.studies.earth_path import protective_way
from asfitted.studies.electrodes import TOUCH_LIMIT_V, fixed_tt

#: IEC 60364-6 Table 6.1: 500 V d.c. for circuits up to 500 V; 250 V d.c. for SELV and PELV
INSULATION_OHM, INSULATION_DC_OHM = 1e6, 0.5e6
#: a contact that is closed (common practice, no published source)
CONTACT_OHM = 0.1
#: a way that an ohmmeter takes for a conductor
BRIDGED_OHM = 10.0
#: everything aboard that a person can touch and that is earthed by a conductor of its own
EARTHED = (
    "supply inlet",
    "sockets",
    "GFCI receptacle",
    "load",
    "battery charger",
    "inverter",
    "inverter charger",
    "generator",
    "structure",
)


def dead_tests(subject: Subject) -> Iterator[Test]:
    """Yield the dead tests in their order: the protective conductors first."""
    yield Test("prove-dead", "dead", ONCE)
    yield Test("instrument-check", "dead", ONCE)
    yield from continuity(subject)
    yield from _one_of_two(subject)
    yield from _transfer_positions(subject)
    for outlet in subject.outlets:
        yield Test("polarity-dead", "dead", ONCE, outlet)
    yield from _line_and_earth(subject)
    for code in ("insulation", "insulation-line-neutral"):
        for outlet in subject.outlets:
            yield Test(code, "dead", once(Expected("Mohm", low=INSULATION_OHM)), outlet)
    yield from _bonds(subject)
    for device in subject.network.of_kind(*RESIDUAL_KINDS):
        yield Test("rcd-poles", "dead", ONCE, device.id)
    yield from _electrodes(subject)
    yield from _between_supply_and_build(subject)


def _earth_terminals(subject: Subject) -> Iterator[tuple[str, str]]:
    """Yield (equipment, its earth terminal) of everything that a protective conductor earths."""
    for item in subject.network.of_kind(*EARTHED):
        for terminal in (f"{item.id}.pins.PE", f"{item.id}.PE", f"{item.id}.ac in.PE", item.id):
            if terminal in item.terminals:
                yield item.id, terminal
                break


def way_to_bar(subject: Subject, terminal: str) -> tuple[str, tuple[Core, ...]] | None:
    """Return the earth bar with the fewest steps to an earth terminal, and the cores on the way."""
    ways = [
        (bar, way) for bar in subject.bars if (way := protective_way(subject.dead, terminal, bar)) is not None
    ]
    return min(ways, key=lambda found: len(found[1]), default=None)


def continuity(subject: Subject) -> Iterator[Test]:
    """Yield the continuity of each protective conductor, from the earth bar."""
    for item, terminal in _earth_terminals(subject):
        found = way_to_bar(subject, terminal)
        if found is None:
            continue
        bar, way = found
        least = subject.instruments.ohms(subject.dead, bar, terminal)
        cables = ", ".join(dict.fromkeys(core.cable for core in way))
        expected = conductors(cores_ohm(subject, way), least)
        yield Test(
            "continuity", "dead", once(expected), item, "", {"bar": bar.replace("_", " "), "cables": cables}
        )


def _one_of_two(subject: Subject) -> Iterator[Test]:
    """Yield each protective conductor that another one bridges: it is measured alone, one end taken off."""
    network, instruments = subject.network, subject.instruments
    for core in network.cores.values():
        ends = core.a, core.b
        if core.conductor != "PE" or core.id not in instruments.circuit.circuit.index:
            continue
        if instruments.ohms(subject.dead, *ends, broken=[core.id]) < BRIDGED_OHM:
            calculated = cores_ohm(subject, (core,))
            expected = conductors(calculated, calculated)
            yield Test("continuity-alone", "dead", once(expected), core.cable)


def _line_and_earth(subject: Subject) -> Iterator[Test]:
    """Yield R1 + R2 of each final circuit: line and protective conductor joined at the board."""
    for outlet in subject.outlets:
        for cable in subject.network.cables.values():
            ends = {core.conductor: core for core in cable.cores if core.b == f"{outlet}.{core.conductor}"}
            line = next((ends[c] for c in ("L", "L1", "L2") if c in ends), None)
            if line is not None and "PE" in ends:
                calculated = cores_ohm(subject, (line, ends["PE"]))
                expected = conductors(calculated, calculated)
                yield Test("line-and-earth", "dead", once(expected), outlet, "", {"cables": cable.id})
                break


def _transfer_positions(subject: Subject) -> Iterator[Test]:
    for switch in subject.network.of_kind("transfer switch", "selector switch", "inverter charger"):
        yield Test("earth-both-positions", "dead", ONCE, switch.id)
        yield Test("neutral-switching-dead", "dead", once(Expected("Mohm", low=1e6)), switch.id)


def _bonds(subject: Subject) -> Iterator[Test]:
    network = subject.network
    plugs = any(subject.inlets.values())
    for bond in network.bonds:
        item = network.items[bond.equipment]
        if item.kind == "ac supply":
            continue
        if plugs:
            yield Test("bond-shore-position", "dead", ONCE, item.id)
        if bond.when == "always":
            yield Test("bond-closed", "dead", once(Expected("ohm", high=CONTACT_OHM)), item.id)
        else:
            yield Test("bond-relay", "dead", ONCE, item.id)


def _electrodes(subject: Subject) -> Iterator[Test]:
    """Yield each electrode of a fixed TT supply: 50 V over the rated residual current, rounded down
    (IEC 60364-4-41 411.5.3).
    """
    network = subject.network
    on_tt = [c for of_state in subject.coverage.values() for c in of_state if fixed_tt(network, c.source)]
    needed = [min(residual_a(network.items[d]) or 0.0 for d in c.aboard) for c in on_tt if c.aboard]
    for electrode in network.of_kind("earth electrode") if needed else ():
        assert isinstance(electrode.spec, EarthElectrode)  # noqa: S101  (asked for by kind)
        limit = float(int(TOUCH_LIMIT_V / max(needed) + 1e-9))
        expected = Expected("ohm", float(electrode.spec.resistance_ohm), high=limit)
        yield Test("electrode", "dead", once(expected), electrode.id, "", {"residual_a": max(needed)})


def _between_supply_and_build(subject: Subject) -> Iterator[Test]:
    for isolator in subject.network.of_kind("galvanic isolator"):
        yield Test("galvanic-isolator", "dead", ONCE, isolator.id)
    for item in subject.network.of_kind("isolating transformer"):
        assert isinstance(item.spec, IsolatingTransformer)  # noqa: S101  (asked for by kind)
        yield Test("isolating-transformer", "dead", once(Expected("Mohm", low=INSULATION_OHM)), item.id)
        if item.spec.shore_earth == "ends at the screen":
            yield Test("shore-earth-ends", "dead", once(Expected("Mohm", low=INSULATION_OHM)), item.id)
