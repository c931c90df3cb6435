"""Which residual current devices see which outlet in which state, found by opening each device in turn."""

from collections.abc import Iterator
from dataclasses import dataclass

from asfitted.description.kinds import AcSupply, GfciBreaker, GfciReceptacle, Rcbo, Rcd
from asfitted.network.build import input_terminals, output_terminals
from asfitted.network.model import Contact, Core, Item, Network
from asfitted.network.paths import path
from asfitted.network.states import State, carries_load
from asfitted.studies.bonding import Island
from asfitted.studies.results import Finding, Grade, merge_states
from asfitted.tables.rules import rule_set

#: additional protection: IEC 60364-4-41 415.1.1
ADDITIONAL_PROTECTION_A = 0.030
#: Class A ground-fault circuit interrupter, UL 943: trips between 4 and 6 mA
GFCI_A = 0.006


@dataclass(frozen=True)
class Coverage:
    """One outlet or fixed appliance in one state: what feeds it and which residual current devices see its faults."""

    state: str
    outlet: str
    source: str
    aboard: tuple[str, ...]
    at_site: bool
    can_trip: bool

    @property
    def protected(self) -> bool:
        """Whether a device aboard sees a fault to earth and the island's tie lets its current flow."""
        return bool(self.aboard) and self.can_trip


def residual_a(item: Item) -> float | None:
    """Return the rated residual operating current of a device in amperes, or None."""
    spec = item.spec
    if isinstance(spec, Rcd | Rcbo):
        return float(spec.residual_a)
    return GFCI_A if isinstance(spec, GfciBreaker | GfciReceptacle) else None


def coverage(state: State, islands: tuple[Island, ...]) -> tuple[Coverage, ...]:
    """Return the coverage of every consumer that is fed in a state."""
    found: list[Coverage] = []
    for source in state.sources:
        item = state.network.items[source]
        at_site = isinstance(item.spec, AcSupply) and item.spec.upstream.residual_a is not None
        ties = next((i.effective for i in islands if source in i.sources), ())
        for outlet in state.feeding[source]:
            aboard = _devices(state, source, outlet)
            # A device sees a fault only if the current returns outside it: by a tie on its source side.
            sees = any(device not in tie.load_side_of for tie in ties for device in aboard)
            found.append(
                Coverage(state.id, outlet, source, aboard, at_site, sees or (bool(ties) and not aboard))
            )
    return tuple(found)


def _devices(state: State, source: str, outlet: str) -> tuple[str, ...]:
    """Return the devices without which the outlet would have neither line nor neutral: both pass through them."""
    consumer = input_terminals(state.network.items[outlet])
    ends = state.ends(source, consumer[0]) if consumer else None
    if ends is None or consumer is None:
        return ()
    own = (outlet,) if isinstance(state.network.items[outlet].spec, GfciReceptacle) else ()
    seen = tuple(
        item.id
        for item in state.network.items.values()
        if item.id != outlet
        and residual_a(item) is not None
        and all(_passes(state, ends[k], consumer[k], item) for k in (0, 1))
    )
    return (*seen, *own)


def _passes(state: State, start: str, end: str, device: Item) -> bool:
    """Tell whether every way from start to end goes through the device's sensor.

    A single-pole residual device passes its neutral through the sensor unswitched, so its own metal counts as well.
    """
    way = path(state, start, end)
    if way is None:
        return False
    if path(state, start, end, without=device.id) is None:
        return True
    terminals = {start, *(step.terminal for step in way)}
    return any(terminal.startswith(f"{device.id}.in.") for terminal in terminals) and any(
        terminal.startswith(f"{device.id}.out.") for terminal in terminals
    )


def coverage_findings(
    network: Network, states: tuple[State, ...], by_state: dict[str, tuple[Coverage, ...]]
) -> tuple[Finding, ...]:
    """Return the outlets and the cables that no residual current device aboard covers, with the states."""
    return merge_states(
        (state.id, finding)
        for state in states
        for finding in (*_outlets(network, by_state[state.id]), *_cables(state))
    )


def _outlets(network: Network, covered: tuple[Coverage, ...]) -> Iterator[Finding]:
    for cover in covered:
        item = network.items[cover.outlet]
        if item.kind not in ("sockets", "GFCI receptacle"):
            continue
        sensitive = [
            d for d in cover.aboard if (residual_a(network.items[d]) or 1) <= ADDITIONAL_PROTECTION_A
        ]
        if not sensitive:
            fields: dict[str, object] = {"outlet": item.id, "source": cover.source}
            yield Finding(
                "socket-without-rcd",
                Grade.POTENTIAL,
                (item.id,),
                item.mark,
                fields=fields,
                clause=rule_set(network.description.build.rules).clause("socket RCD"),
            )


def _cables(state: State) -> Iterator[Finding]:
    """A stretch ahead of the first device aboard must be one cable straight to it: nothing tapped off before."""
    network = state.network
    for source in state.sources:
        if not state.feeding[source]:
            continue
        start = _aboard_from(state, source)
        if start is None:
            continue
        ahead = _ahead_of_devices(state, start)
        if len(ahead) > 1:
            cables = ", ".join(ahead)
            yield Finding(
                "cable-ahead-of-rcd",
                Grade.IMPROVEMENT if all(_short(network, cable) for cable in ahead) else Grade.POTENTIAL,
                tuple(ahead),
                network.cables[ahead[0]].mark,
                fields={"cables": cables, "source": source},
                clause=rule_set(network.description.build.rules).clause("cable ahead of RCD"),
            )


def _short(network: Network, cable: str) -> bool:
    """Within one enclosure a cable is hardly exposed; half a metre is taken as such (common practice)."""
    return network.cables[cable].length_m <= 0.5


def _aboard_from(state: State, source: str) -> str | None:
    """Return the line terminal at which a source comes aboard: its own, or the pins of the inlet for a site."""
    ends = output_terminals(state.network.items[source])
    if ends is None:
        return None
    if state.network.items[source].kind != "ac supply":
        return ends[0]
    for inlet in state.network.of_kind("supply inlet"):
        pin = f"{inlet.id}.pins.{ends[0].rsplit('.', 1)[-1]}"
        if state.live_potentials.same(pin, ends[0]):
            return pin
    return ends[0]


def _ahead_of_devices(state: State, start: str) -> list[str]:
    """Return the cables reached from a terminal without passing the contact of a residual current device."""
    network = state.network
    edges: dict[str, list[tuple[Core | Contact | None, str]]] = {}
    for core in network.cores.values():
        if carries_load(network, core) and core.conductor != "N":
            edges.setdefault(core.a, []).append((core, core.b))
            edges.setdefault(core.b, []).append((core, core.a))
    for join in network.joins:
        edges.setdefault(join.a, []).append((None, join.b))
        edges.setdefault(join.b, []).append((None, join.a))
    for contact in state.closed:
        if residual_a(network.items[contact.equipment]) is None and contact.position != "plugged":
            edges.setdefault(contact.a, []).append((contact, contact.b))
            edges.setdefault(contact.b, []).append((contact, contact.a))
    reached, waiting, cables = {start}, [start], []
    while waiting:
        for element, other in edges.get(waiting.pop(), ()):
            if isinstance(element, Core) and element.cable not in cables:
                cables.append(element.cable)
            if other not in reached:
                reached.add(other)
                waiting.append(other)
    return cables
