"""Polarity as wired: plus on plus and minus on minus, line on line and neutral on neutral, in every state."""

from collections.abc import Iterator

from asfitted.description.kinds import Inline
from asfitted.network.build import input_terminals, output_terminals
from asfitted.network.model import Network
from asfitted.network.states import State
from asfitted.studies.results import Finding, Grade, merge_states


def polarity_findings(network: Network, states: tuple[State, ...]) -> tuple[Finding, ...]:
    """Return equipment whose terminals meet the wrong pole of a battery or of an a.c. source."""
    return merge_states(
        (state.id, finding) for state in states for finding in (*_dc(state), *_return(state), *_ac(state))
    )


def _dc(state: State) -> Iterator[Finding]:
    network, live = state.network, state.live_potentials
    batteries = network.of_kind("battery")
    plus = {live.find(f"{battery.id}.plus"): battery.id for battery in batteries}
    minus = {live.find(f"{battery.id}.minus"): battery.id for battery in batteries}
    # Where batteries are in series the plus of one is the minus of the next: no wrong pole there.
    both = plus.keys() & minus.keys()
    for item in network.items.values():
        if item.kind in ("battery", "meter"):
            continue
        for terminal in item.terminals:
            pole = terminal.rsplit(".", 1)[-1]
            wrong = {"plus": minus, "minus": plus}.get(pole)
            root = live.find(terminal)
            if wrong and root in wrong and root not in both:
                other = "minus" if pole == "plus" else "plus"
                fields: dict[str, object] = {
                    "item": item.id,
                    "terminal": terminal,
                    "pole": other,
                    "battery": wrong[root],
                }
                yield Finding("polarity-reversed", Grade.POTENTIAL, (item.id,), item.mark, fields=fields)
                break


def _return(state: State) -> Iterator[Finding]:
    """A plus that reaches a battery needs a minus that reaches the same one, by cable or through the structure."""
    network, live = state.network, state.live_potentials
    for item in network.items.values():
        minuses = [t for t in item.terminals if t.endswith(".minus")]
        if item.kind in ("battery", "meter") or isinstance(item.spec, Inline) or not minuses:
            continue
        for battery in network.of_kind("battery"):
            plus, minus = live.find(f"{battery.id}.plus"), live.find(f"{battery.id}.minus")
            reached = [t for t in item.terminals if t.endswith("plus") and live.find(t) == plus]
            if reached and not any(live.find(t) == minus for t in minuses):
                fields: dict[str, object] = {"item": item.id, "battery": battery.id}
                yield Finding("no-way-back", Grade.POTENTIAL, (item.id, battery.id), item.mark, fields=fields)


def _ac(state: State) -> Iterator[Finding]:
    network, live = state.network, state.live_potentials
    for source in state.sources:
        ends = output_terminals(network.items[source])
        if ends is None:
            continue
        for item in network.items.values():
            inputs = input_terminals(item)
            # An appliance between two lines has no neutral terminal and no wrong side.
            if item.id == source or inputs is None or not inputs[1].endswith("N"):
                continue
            if live.same(inputs[0], ends[1]) or live.same(inputs[1], ends[0]):
                fields: dict[str, object] = {"item": item.id, "source": source}
                yield Finding("line-neutral-exchanged", Grade.POTENTIAL, (item.id,), item.mark, fields=fields)
