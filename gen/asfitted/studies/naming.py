"""Names for operating states: the builder's where it is unique, else the conditions in words."""

from collections import Counter
from dataclasses import replace

from asfitted import words
from asfitted.network.states import State


def named(states: tuple[State, ...]) -> tuple[State, ...]:
    """Return the states, each with a name of its own."""
    given = Counter(state.name for state in states if state.name)
    return tuple(
        state if given[state.name] == 1 else replace(state, name=conditions(state)) for state in states
    )


def conditions(state: State) -> str:
    """Return the conditions of a state in words: `site plugged in and live, inverter running`."""
    network = state.network
    parts = []
    for id_, condition in state.conditions:
        key: str = condition
        if network.items[id_].kind == "ac supply" and condition in ("dead", "live"):
            key = f"plugged {condition}" if network.of_kind("supply inlet") else condition
        parts.append(words.text("labels", f"conditions.{key}", name=network.items[id_].name))
    parts += [
        words.text("labels", "conditions.in transit", name=network.items[id_].name)
        for id_, position in state.positions
        if position == "in transit"
    ]
    parts += [
        words.text("labels", "conditions.position", name=network.items[id_].name, position=position)
        for id_, position in state.positions
        if network.items[id_].kind == "selector switch"
    ]
    return ", ".join(parts)
