"""What opens between an alternator and its last battery while it charges, and what it then does.

The current in its winding cannot stop at once: for a fraction of a second its voltage jumps to several times the
rated one. Whatever is still joined to it bears that; what hung on the battery alone goes dark.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from asfitted.description.kinds import Alternator, Battery, Breaker, Contactor, Fuse, Isolator
from asfitted.network.direct import DirectState
from asfitted.network.model import Item, Network
from asfitted.network.potentials import Potentials
from asfitted.studies.results import Finding, Grade
from asfitted.tables.load_dump import Dump, load_dump

#: what opens: the battery's own protection, a switch that somebody turns, or a device that clears a fault
By = Literal["own protection", "hand", "fault"]


@dataclass(frozen=True)
class LoadDump:
    """One thing that opens and leaves a running alternator without a battery.

    `bears` is the equipment still joined to it, `dark` what loses its supply; `dump` the voltage.
    """

    alternator: str
    opens: str
    by: By
    bears: tuple[str, ...]
    dark: tuple[str, ...]
    dump: Dump


def load_dumps(network: Network, states: tuple[DirectState, ...]) -> tuple[LoadDump, ...]:
    """Return every load dump that the opening of one thing can bring about."""
    return tuple(
        found
        for item in network.of_kind("alternator")
        for state in states
        if state.changed == ((item.id, "running"),)
        for found in _of(state, item)
    )


def _of(state: DirectState, alternator: Item) -> Iterator[LoadDump]:
    network, plus = state.network, f"{alternator.id}.plus"
    joined = [b for b in network.of_kind("battery") if state.potentials.same(plus, f"{b.id}.plus")]
    if not joined:
        return
    for battery in joined:
        if _protects_itself(battery) and len(joined) == 1:
            yield _dump(state, alternator, battery.id, "own protection", _without(state, battery.id))
    for item in network.items.values():
        spec = item.spec
        if not isinstance(spec, Fuse | Breaker | Isolator | Contactor):
            continue
        left = _without(state, item.id)
        if not any(left.same(plus, f"{b.id}.plus") for b in joined):
            by: By = "hand" if isinstance(spec, Isolator) else "fault"
            yield _dump(state, alternator, item.id, by, left)


def _protects_itself(battery: Item) -> bool:
    """Tell whether a battery has a management system that opens by itself."""
    spec = battery.spec
    assert isinstance(spec, Battery)  # noqa: S101  (asked for by kind)
    return spec.has_protection


def _without(state: DirectState, opened: str) -> Potentials:
    """Return the plus potentials with the contacts of one device open, or with one battery's plus let go."""
    network = state.network
    pairs = [(core.a, core.b) for core in network.cores.values() if core.conductor == "plus"]
    pairs += [(join.a, join.b) for join in network.joins]
    pairs += [(c.a, c.b) for c in state.closed if c.conductor == "plus" and c.equipment != opened]
    return Potentials(pairs)


def _dump(state: DirectState, alternator: Item, opens: str, by: By, left: Potentials) -> LoadDump:
    network, plus = state.network, f"{alternator.id}.plus"
    spec = alternator.spec
    assert isinstance(spec, Alternator)  # noqa: S101  (asked for by kind)
    bears = tuple(
        item.id
        for item in network.items.values()
        if item.id not in (alternator.id, opens)
        and item.kind in ("load", "inverter", "inverter charger", "DC-DC charger", "solar controller")
        and any(left.same(plus, t) for t in item.terminals if t.endswith("plus"))
    )
    others = [
        end
        for source, end in state.sources.items()
        if source not in (alternator.id, opens) and network.items[source].kind in ("battery", "dc supply")
    ]
    dark = tuple(
        item.id
        for item in network.of_kind("load", "inverter")
        if state.energised.get(f"{item.id}.plus")
        and not any(left.same(end, f"{item.id}.plus") for end in others)
    )
    return LoadDump(alternator.id, opens, by, bears, dark, load_dump(float(spec.voltage_v)))


def load_dump_findings(network: Network, dumps: tuple[LoadDump, ...]) -> Iterator[Finding]:
    """Yield the load dumps that need no fault first: by a battery's own protection, by a switch."""
    for dump in dumps:
        if dump.by == "fault":
            continue
        code, grade = (
            ("load-dump-by-battery", Grade.INVESTIGATION)
            if dump.by == "own protection"
            else ("load-dump-by-switch", Grade.IMPROVEMENT)
        )
        fields: dict[str, object] = {
            "alternator": dump.alternator,
            "opens": dump.opens,
            "least_v": f"{dump.dump.least_v.value:g}",
            "greatest_v": f"{dump.dump.greatest_v.value:g}",
            "bears": ", ".join(dump.bears) or "–",
            "dark": ", ".join(dump.dark) or "–",
        }
        where = (dump.alternator, dump.opens)
        mark = network.items[dump.opens].mark
        yield Finding(code, grade, where, mark, fields=fields, clause=dump.dump.least_v.source)
