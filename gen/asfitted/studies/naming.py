"""Names for operating states: the builder's where it is unique, else the conditions in words."""

from collections import Counter
from dataclasses import replace

from asfitted import words
from asfitted.network.direct import DirectState
from asfitted.network.states import State


def named(states: tuple[State, ...]) -> tuple[State, ...]:
    """Return the states, each with a name of its own.

    Where one name fits several, what tells them apart follows it: `on battery (changeover on source 1)`.
    """
    given = Counter(state.name for state in states if state.name)
    parts = {state.id: _parts(state) for state in states}
    return tuple(replace(state, name=_name(state, states, given, parts)) for state in states)


def _name(
    state: State, states: tuple[State, ...], given: Counter[str], parts: dict[str, tuple[str, ...]]
) -> str:
    if not state.name:
        return _on_its_way(state, states) if state.in_transit else conditions(state)
    if given[state.name] == 1:
        return state.name
    others = [parts[other.id] for other in states if other.name == state.name]
    apart = [part for part in parts[state.id] if not all(part in other for other in others)]
    return f"{state.name} ({', '.join(apart)})"


def _on_its_way(state: State, states: tuple[State, ...]) -> str:
    """Return the builder's name for what a switch leaves, if there is just one, and that it is on its way."""
    left = {other.name for other in states if other.name and other.conditions == state.conditions}
    return ", ".join((*left, *_moving(state))) if len(left) == 1 else conditions(state)


def _moving(state: State) -> tuple[str, ...]:
    """Return in words which switches are on their way; one that has no like needs no name."""
    moving = [id_ for id_, position in state.positions if position == "in transit"]
    alone = len(state.network.of_kind("transfer switch", "selector switch")) == 1
    names = [state.network.items[id_].name for id_ in moving]
    key = "in transit" if alone else "named in transit"
    return tuple(words.text("labels", f"conditions.{key}", name=name) for name in names)


def conditions(state: State) -> str:
    """Return the conditions of a state in words: `site plugged in and live, inverter running`."""
    return ", ".join(_parts(state))


def direct_name(state: DirectState) -> str:
    """Return a state of the d.c. side in words: what tells it from the batteries alone."""
    network = state.network
    parts = []
    for id_, condition in state.changed:
        kind = network.items[id_].kind
        if kind == "dc supply":
            key = "coupled" if condition == "live" else "coupled dead"
        else:
            key = "turning" if condition == "running" else condition
        parts.append(words.text("labels", f"conditions.{key}", name=network.items[id_].name))
    return ", ".join(parts) or words.text("labels", "conditions.rest")


def _parts(state: State) -> tuple[str, ...]:
    """Return in words, one by one: the conditions of the sources, switches on their way, selectors."""
    network = state.network
    parts = []
    for id_, condition in state.conditions:
        key: str = condition
        if network.items[id_].kind == "ac supply" and condition in ("dead", "live"):
            key = f"plugged {condition}" if network.of_kind("supply inlet") else condition
        parts.append(words.text("labels", f"conditions.{key}", name=network.items[id_].name))
    for id_, position in state.positions:
        if position != "in transit" and network.items[id_].kind == "selector switch":
            key = "off" if position == "off" else "position"
            name = network.items[id_].name
            parts.append(words.text("labels", f"conditions.{key}", name=name, position=position))
    return (*parts, *_moving(state))
