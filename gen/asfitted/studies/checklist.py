"""The tests of this build, in the order that keeps the tester safe: dead, d.c., then live, state by state.

Order and methods follow IEC 60364-6 6.4.3; each row names what is tested where, in which state, and what to expect.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field

from asfitted.description.kinds import EarthElectrode
from asfitted.network.model import Core, Network
from asfitted.network.states import State, inlets_of
from asfitted.studies.bonding import Island
from asfitted.studies.coverage import Coverage, residual_a
from asfitted.studies.electrodes import TOUCH_LIMIT_V, fixed_tt
from asfitted.tables.conductors import resistance_20c_ohm_per_km

#: a reading may exceed the calculated resistance by this share before a joint is suspect
#: (common practice, no published source)
CONTINUITY_MARGIN = 0.2
#: joints, pins and lugs in a protective path, in ohms (common practice, no published source)
JOINTS_OHM = 0.05


@dataclass(frozen=True)
class Test:
    """One test: `code` is a key of the `tests` words, `fields` fill its sentences."""

    __test__ = False  # not one of pytest's

    id: str
    code: str
    phase: str
    at: str
    state: str = ""
    fields: dict[str, object] = field(default_factory=dict)


def checklist(
    network: Network,
    states: tuple[State, ...],
    islands: dict[str, tuple[Island, ...]],
    covered: dict[str, tuple[Coverage, ...]],
) -> tuple[Test, ...]:
    """Return every test of the build in order, numbered T1, T2 …"""
    rows = [
        *_inspection(network),
        *_dead(network),
        *_electrodes(network, covered),
        *_dc(network),
        *_live(network, states, islands, covered),
    ]
    return tuple(Test(f"T{number}", *row) for number, row in enumerate(rows, 1))


Row = tuple[str, str, str, str, dict[str, object]]


def _inspection(network: Network) -> Iterator[Row]:
    for code in ("documents", "covers", "devices as listed", "protective conductor unbroken"):
        yield code, "inspection", "", "", {}
    if network.of_kind("supply inlet"):
        yield "labels", "inspection", "", "", {}
    for battery in network.of_kind("battery"):
        yield "battery fixing", "inspection", battery.id, "", {}


def protective_ohm(network: Network, terminal: str) -> float | None:
    """Return the resistance at 20 °C of the protective path from an earth terminal to the nearest earth bar, or None."""
    best: dict[str, float] = {terminal: 0.0}
    waiting = [terminal]
    bars = {item.id for item in network.of_kind("earth bar")}
    cores = [core for core in network.cores.values() if core.conductor == "PE" and core.size is not None]
    while waiting:
        here = min(waiting, key=lambda t: best[t])
        waiting.remove(here)
        if here in bars:
            return best[here]
        for core in cores:
            for a, b in ((core.a, core.b), (core.b, core.a)):
                if a == here and best[here] + core_ohm(network, core) < best.get(b, float("inf")):
                    best[b] = best[here] + core_ohm(network, core)
                    waiting.append(b)
    return None


def core_ohm(network: Network, core: Core) -> float:
    """Return the resistance of a core at 20 °C in ohms (IEC 60228)."""
    cable = network.cables[core.cable]
    assert core.size is not None  # noqa: S101  (cores without a size are left out before)
    per_km = resistance_20c_ohm_per_km(core.size.designation, core.size.mm2, cable.flexible).value
    return per_km / 1000 * cable.length_m


def _dead(network: Network) -> Iterator[Row]:
    for item in network.items.values():
        earth = next((t for t in (f"{item.id}.pins.PE", f"{item.id}.PE") if t in item.terminals), None)
        if earth is None or item.kind in ("ac supply", "inverter charger"):
            continue
        ohm = protective_ohm(network, earth)
        if ohm is not None:
            limit = ohm * (1 + CONTINUITY_MARGIN) + JOINTS_OHM
            yield "continuity", "dead", item.id, "", {"expected_ohm": ohm, "limit_ohm": limit}
    for item in network.of_kind("sockets", "GFCI receptacle"):
        yield "polarity dead", "dead", item.id, "", {}
    for item in network.of_kind("sockets", "GFCI receptacle", "load"):
        if f"{item.id}.L" in item.terminals:
            yield "insulation", "dead", item.id, "", {}


def _electrodes(network: Network, covered: dict[str, tuple[Coverage, ...]]) -> Iterator[Row]:
    """Yield the measurement of each electrode on a fixed TT supply, with its limit of 50 V over the rated
    residual current, rounded down.
    """
    on_tt = [cover for of_state in covered.values() for cover in of_state if fixed_tt(network, cover.source)]
    needed = [
        min(residual_a(network.items[d]) or 0.0 for d in cover.aboard) for cover in on_tt if cover.aboard
    ]
    for electrode in network.of_kind("earth electrode") if needed else ():
        assert isinstance(electrode.spec, EarthElectrode)  # noqa: S101  (asked for by kind)
        fields: dict[str, object] = {
            "expected_ohm": float(electrode.spec.resistance_ohm),
            "limit_ohm": int(TOUCH_LIMIT_V / max(needed) + 1e-9),
            "residual_a": max(needed),
        }
        yield "electrode resistance", "dead", electrode.id, "", fields


def _dc(network: Network) -> Iterator[Row]:
    for battery in network.of_kind("battery"):
        yield "dc polarity", "d.c.", battery.id, "", {}
    fitted = [i.id for i in network.of_kind("fuse", "breaker") if "plus" in getattr(i.spec, "contacts", ())]
    if fitted:
        yield "fuse audit", "d.c.", "", "", {"devices": ", ".join(fitted)}


def _live(
    network: Network,
    states: tuple[State, ...],
    islands: dict[str, tuple[Island, ...]],
    covered: dict[str, tuple[Coverage, ...]],
) -> Iterator[Row]:
    inlets = inlets_of(network)
    for state in states:
        if state.in_transit:
            continue
        for supply in network.of_kind("ac supply"):
            if state.condition(supply.id) == "unplugged" and state.sources:
                for inlet in inlets[supply.id]:
                    yield "pins dead", "live", inlet, state.id, {}
            elif state.condition(supply.id) == "live":
                code = "supply before plugging" if inlets[supply.id] else "supply before switching on"
                yield code, "live", supply.id, state.id, {}
            elif state.condition(supply.id) == "dead" and state.sources:
                code = "site not fed" if inlets[supply.id] else "grid not fed"
                yield code, "live", supply.id, state.id, {}
        for island in islands[state.id]:
            for tie in island.effective:
                yield "one bond", "live", tie.at, state.id, {"source": island.sources[0]}
        for cover in covered[state.id]:
            if network.items[cover.outlet].kind not in ("sockets", "GFCI receptacle"):
                continue
            yield "voltages", "live", cover.outlet, state.id, {"source": cover.source}
            for device in cover.aboard:
                residual = residual_a(network.items[device])
                yield "rcd trip", "live", cover.outlet, state.id, {"device": device, "residual_a": residual}
    for switch in network.of_kind("transfer switch", "inverter charger"):
        yield "transfer", "live", switch.id, "", {}
