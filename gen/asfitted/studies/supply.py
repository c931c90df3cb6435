"""What must never be live, and what must never be tied: pins, dead sites, sources in parallel."""

from collections.abc import Iterator
from itertools import combinations, product

from asfitted.description.kinds import TransferSwitch
from asfitted.network.build import output_terminals
from asfitted.network.model import Core, Item
from asfitted.network.parallel import run_together
from asfitted.network.paths import path
from asfitted.network.states import State
from asfitted.studies.results import Finding, Grade, merge_states
from asfitted.tables.rules import rule_set


def supply_findings(states: tuple[State, ...]) -> tuple[Finding, ...]:
    """Return live pins, dead sites that are fed, and sources that meet, each once with its states."""
    return merge_states(
        (state.id, finding)
        for state in states
        for finding in (*_live_pins(state), *_fed_sites(state), *_parallel(state), *_overlaps(state))
    )


def _live_pins(state: State) -> Iterator[Finding]:
    inlets = state.network.inlets_of
    for supply in state.network.of_kind("ac supply"):
        if state.condition(supply.id) != "unplugged":
            continue
        for inlet in inlets[supply.id]:
            item = state.network.items[inlet]
            live = {
                conductor: sources
                for conductor in ("L", "L1", "L2", "N")
                if (sources := state.energised.get(f"{inlet}.pins.{conductor}", ()))
            }
            if not live:
                continue
            pin = next(iter(live))
            fields: dict[str, object] = {"inlet": inlet, "pin": pin, "sources": ", ".join(live[pin])}
            if pin == "N":
                yield Finding("neutral-at-pins", Grade.POTENTIAL, (inlet,), item.mark, fields=fields)
            else:
                yield Finding("live-pins", Grade.DANGER, (inlet,), item.mark, fields=fields)


def _fed_sites(state: State) -> Iterator[Finding]:
    for supply in state.network.of_kind("ac supply"):
        if state.condition(supply.id) != "dead":
            continue
        ends = output_terminals(supply)
        sources = state.energised.get(ends[0], ()) if ends else ()
        if sources:
            fields: dict[str, object] = {"site": supply.id, "sources": ", ".join(sources)}
            yield Finding("feeds-dead-site", Grade.DANGER, (supply.id,), supply.mark, fields=fields)


def _parallel(state: State) -> Iterator[Finding]:
    items = [state.network.items[source] for source in state.sources]
    for first, second in combinations(items, 2):
        ends, others = output_terminals(first), output_terminals(second)
        if not ends or not others:
            continue
        way = path(state, ends[0], others[0])
        if way is None:
            continue
        cables = (step.element.cable for step in way if isinstance(step.element, Core))
        fields: dict[str, object] = {
            "a": first.id,
            "b": second.id,
            "way": ", ".join(dict.fromkeys(cables)) or "–",
        }
        clause = rule_set(state.network.description.build.rules).clause("parallel operation")
        where = (first.id, second.id)
        if not run_together(first, second):
            yield Finding("sources-parallel", Grade.DANGER, where, second.mark, (), fields, clause)
        elif "ac supply" in (first.kind, second.kind):
            yield Finding("grid-parallel", Grade.INVESTIGATION, where, second.mark, (), fields, clause)


def _overlaps(state: State) -> Iterator[Finding]:
    """Yield the changeovers that join their two sides while they move, where both have voltage."""
    network = state.network
    for item in network.of_kind("transfer switch", "selector switch"):
        spec = item.spec
        assert isinstance(spec, TransferSwitch)  # noqa: S101  (called by kind)
        if spec.break_before_make != "no":
            continue
        first, second = (_at(state, f"{item.id}.{side}.L") for side in ("source 1", "source 2"))
        meeting = [(a, b) for a, b in product(first, second) if a.id != b.id and not run_together(a, b)]
        if meeting:
            a, b = meeting[0]
            fields: dict[str, object] = {"switch": item.id, "a": a.id, "b": b.id}
            clause = rule_set(network.description.build.rules).clause("switched alternative")
            yield Finding("make-before-break", Grade.DANGER, (item.id,), item.mark, (), fields, clause)


def _at(state: State, terminal: str) -> list[Item]:
    """Return the sources whose line reaches a terminal."""
    return [state.network.items[source] for source in state.sources if state.reaches(source, terminal)]
