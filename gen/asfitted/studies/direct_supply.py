"""The d.c. side from outside and at the engine: live pins, a fed tow vehicle, an engine started over a link.

Also inverters that only search while nothing runs: what needs a supply to trip has none then.
"""

from collections.abc import Iterator

from asfitted.description.kinds import Battery, GfciBreaker, GfciReceptacle, Inverter
from asfitted.network.direct import DirectState, shares_cranking
from asfitted.network.model import Item, Network
from asfitted.network.states import State, behind_dc_inlet
from asfitted.studies.faults.curves import gfci
from asfitted.studies.results import Finding, Grade


def direct_findings(network: Network, states: tuple[DirectState, ...]) -> tuple[Finding, ...]:
    """Return each hazard of the d.c. side's operating states once."""
    every = (
        finding
        for state in states
        for part in (_live_pins, _fed_outside, _cranking)
        for finding in part(network, state)
    )
    once: dict[tuple[str, tuple[str, ...]], Finding] = {}
    for finding in every:
        once.setdefault((finding.code, finding.where), finding)
    return tuple(once.values())


def _live_pins(network: Network, state: DirectState) -> Iterator[Finding]:
    conditions = dict(state.conditions)
    for inlet in network.of_kind("dc inlet"):
        outside = behind_dc_inlet(network, inlet.id)
        live = state.energised.get(f"{inlet.id}.pins.plus", ())
        if live and outside and all(conditions[id_] == "unplugged" for id_ in outside):
            fields: dict[str, object] = {"inlet": inlet.id, "sources": ", ".join(live)}
            yield Finding("dc-pins-live", Grade.POTENTIAL, (inlet.id,), inlet.mark, fields=fields)


def _fed_outside(network: Network, state: DirectState) -> Iterator[Finding]:
    for id_, condition in state.conditions:
        live = state.energised.get(f"{id_}.plus", ())
        if network.items[id_].kind == "dc supply" and condition == "dead" and live:
            fields: dict[str, object] = {"outside": id_, "sources": ", ".join(live)}
            yield Finding("feeds-outside", Grade.IMPROVEMENT, (id_,), network.items[id_].mark, fields=fields)


def _cranking(network: Network, state: DirectState) -> Iterator[Finding]:
    """Yield the batteries that start an engine together, with the share each gives by its resistance."""
    for id_, condition in state.conditions:
        joined = shares_cranking(state, id_) if condition == "cranking" else ()
        others = [network.items[b] for b in joined if getattr(network.items[b].spec, "use", "") != "starter"]
        if not joined or not others:
            continue
        fields: dict[str, object] = {
            "alternator": id_,
            "batteries": ", ".join(joined),
            "share": f"{100 * _share(network, joined, others):.0f}",
        }
        where = tuple(item.id for item in others)
        yield Finding("cranking-shared", Grade.INVESTIGATION, where, others[0].mark, fields=fields)


def _share(network: Network, joined: tuple[str, ...], others: list[Item]) -> float:
    """Return the most that the batteries other than the starter's give of the starting current: they new, it
    old, and nothing between them; where no resistance is given, by capacity and voltage.
    """

    def siemens(id_: str, new: bool) -> float:
        spec = network.items[id_].spec
        assert isinstance(spec, Battery)  # noqa: S101  (only batteries are joined)
        given = spec.internal_resistance
        if given is None:
            return float(spec.capacity_ah / spec.voltage_v)
        return 1 / (given.new_warm_ohm if new else given.aged_cold_ohm)

    ids = {item.id for item in others}
    all_given = all(network.items[b].spec.internal_resistance for b in joined)  # type: ignore[attr-defined]
    whole = {b: siemens(b, b in ids and all_given) for b in joined}
    return sum(whole[id_] for id_ in ids) / sum(whole.values())


def search_findings(network: Network, states: tuple[State, ...]) -> tuple[Finding, ...]:
    """Return the devices that need a supply to trip behind an inverter that only searches while nothing runs.

    It gives short pulses until somebody draws more than its threshold. A current to earth below that, and above
    what such a device trips at, is seen by neither.
    """
    found: list[Finding] = []
    for item in network.of_kind("inverter", "inverter charger"):
        spec = item.spec
        if not isinstance(spec, Inverter) or spec.search_below_w is None:
            continue
        volts = spec.ac_voltage_v or 230.0
        unseen_a = spec.search_below_w / volts
        starved = tuple(
            device.id for device in network.items.values() if _starves(device) and _fed(states, item, device)
        )
        if starved and unseen_a > gfci().rated_a:
            fields: dict[str, object] = {
                "inverter": item.id,
                "devices": ", ".join(starved),
                "threshold_w": f"{spec.search_below_w:g}",
                "unseen_ma": f"{1000 * unseen_a:.0f}",
            }
            where = (item.id, *starved)
            found.append(Finding("search-mode-starves", Grade.INVESTIGATION, where, item.mark, fields=fields))
    return tuple(found)


def _starves(device: Item) -> bool:
    """Tell whether a residual current device needs voltage at its line side to trip."""
    return isinstance(device.spec, GfciBreaker | GfciReceptacle)


def _fed(states: tuple[State, ...], inverter: Item, device: Item) -> bool:
    line = f"{device.id}.in.L" if isinstance(device.spec, GfciBreaker) else f"{device.id}.L"
    return any(state.reaches(inverter.id, line) for state in states)
