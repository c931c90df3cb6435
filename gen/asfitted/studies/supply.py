"""What must never be live, and what must never be tied: pins, dead sites, sources in parallel."""

from collections.abc import Iterator

from asfitted.network.build import output_terminals
from asfitted.network.states import State, inlets_of
from asfitted.studies.results import Finding, Grade, merge_states


def supply_findings(states: tuple[State, ...]) -> tuple[Finding, ...]:
    """Return live pins, dead sites that are fed, and sources that meet, each once with its states."""
    return merge_states(
        (state.id, finding)
        for state in states
        for finding in (*_live_pins(state), *_fed_sites(state), *_parallel(state))
    )


def _live_pins(state: State) -> Iterator[Finding]:
    inlets = inlets_of(state.network)
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
    for number, first in enumerate(state.sources):
        ends = output_terminals(state.network.items[first])
        for second in state.sources[number + 1 :]:
            others = output_terminals(state.network.items[second])
            if ends and others and state.live_potentials.same(ends[0], others[0]):
                item = state.network.items[second]
                fields: dict[str, object] = {"a": first, "b": second}
                yield Finding("sources-parallel", Grade.DANGER, (first, second), item.mark, fields=fields)
