"""Tests of the changeover, both ways; of chargers; and what is done last."""

from collections.abc import Iterator
from functools import partial

from asfitted.description.kinds import (
    Battery,
    BatteryCharger,
    InverterCharger,
    SolarArray,
    SolarController,
    TransferSwitch,
)
from asfitted.network.model import Item
from asfitted.network.states import State
from asfitted.studies.commissioning.live import GHOST_V
from asfitted.studies.commissioning.plan import ONCE, Column, Expected, Subject, Test, once
from asfitted.studies.coverage import residual_a

SWITCHES = ("transfer switch", "selector switch", "inverter charger")
#: a charger's voltage may lie above the battery's highest by this share, its current above its rating
#: (house rules)
VOLTS_SHARE, AMPERES_SHARE = 0.01, 0.1
#: motors that compress must stand still for so long (trade advice, from memory)
RESTART_S = 180.0
#: who kills all sources must be done within this (house rule)
SHUTDOWN_S = 30.0


def transfer_tests(subject: Subject) -> Iterator[Test]:
    """Yield the tests of each changeover, in both directions."""
    network = subject.network
    for switch in network.of_kind(*SWITCHES):
        spec = switch.spec
        by_hand = switch.kind == "selector switch"
        if not by_hand:
            assert isinstance(spec, TransferSwitch | InverterCharger)  # noqa: S101  (asked for by kind)
            for detail, claims in (("to-source-2", spec.to_source_2), ("to-source-1", spec.to_source_1)):
                longest = max((float(claim.value) for claim in claims or ()), default=None)
                expected = Expected("ms", longest, high=longest)
                yield Test("transfer-time", "transfer", once(expected), switch.id, detail)
        yield Test("interlock", "transfer", ONCE, switch.id)
        if getattr(spec, "certified_to", "") == "none":
            yield Test("uncertified", "transfer", ONCE, switch.id)
        neutral = subject.columns(partial(_other_neutral, subject, switch))
        yield Test("neutral-switching-live", "transfer", neutral, switch.id)
        if not by_hand:
            yield Test("stuck-contact", "transfer", ONCE, switch.id)
            yield Test("brown-out", "transfer", ONCE, switch.id)
        yield Test("by-hand", "transfer", ONCE, switch.id)
    if network.of_kind(*SWITCHES):
        motors = [
            item.id
            for item in network.of_kind("load", "sockets", "GFCI receptacle")
            if item.id in subject.outlets
            and any(load.duty == "motor" for load in getattr(item.spec, "loads", {}).values())
        ]
        for motor in motors:
            yield Test("restart-delay", "transfer", once(Expected("s", low=RESTART_S)), motor)


def _other_neutral(subject: Subject, switch: Item, state: State) -> Column:
    """The neutral of the side that is not in use holds no voltage against that of the load."""
    position = dict(state.positions).get(switch.id, "")
    if position not in ("source 1", "source 2") or switch.kind == "inverter charger":
        return Column(state.id, not_applicable="no second neutral")
    other = "source 2" if position == "source 1" else "source 1"
    ends = (f"{switch.id}.{other}.N", f"{switch.id}.out.N")
    node = subject.instruments.circuit.node_of
    if any(end not in node for end in ends) or node[ends[0]] == node[ends[1]]:
        return Column(state.id, not_applicable="no second neutral")
    return Column(state.id, Expected("V", high=GHOST_V))


def charger_tests(subject: Subject) -> Iterator[Test]:
    """Yield the generator before it is used, then what charges."""
    network = subject.network
    for charger in network.of_kind("battery charger", "inverter charger"):
        spec = charger.spec
        assert isinstance(spec, BatteryCharger | InverterCharger)  # noqa: S101  (asked for by kind)
        rated = spec.rating_a if isinstance(spec, BatteryCharger) else spec.charge_current_a
        yield from _charger(subject, charger, "charger", float(rated))
    for charger in network.of_kind("DC-DC charger"):
        yield from _charger(subject, charger, "dc-charger", float(charger.spec.rating_a))  # type: ignore[attr-defined]
    for alternator in network.of_kind("alternator"):
        yield Test("alternator", "chargers", ONCE, alternator.id)
    for array in network.of_kind("solar array"):
        assert isinstance(array.spec, SolarArray)  # noqa: S101  (asked for by kind)
        volts = float(array.spec.open_circuit_voltage_v)
        controllers = [i.spec for i in network.items.values() if isinstance(i.spec, SolarController)]
        limit = min((float(c.array_voltage_v) for c in controllers), default=None)
        yield Test("solar-voltage", "chargers", once(Expected("V", volts, high=limit)), array.id)
        current = Expected("A", float(array.spec.short_circuit_current_a))
        yield Test("solar-current", "chargers", once(current), array.id)
    for battery in network.of_kind("battery"):
        cold = getattr(battery.spec, "charge_cut_off_below_c", None)
        if cold is not None:
            fields: dict[str, object] = {"below_c": float(cold)}
            yield Test("cold-charge", "chargers", once(Expected("A", 0.0, high=0.05)), battery.id, "", fields)


def _charger(subject: Subject, charger: Item, code: str, rated_a: float) -> Iterator[Test]:
    battery = _charged(subject, charger)
    amperes = Expected("A", rated_a, high=rated_a * (1 + AMPERES_SHARE))
    yield Test(code, "chargers", once(amperes), charger.id, "current")
    if battery is not None and battery.highest_voltage_v:
        most = float(battery.highest_voltage_v)
        yield Test(
            code, "chargers", once(Expected("V", most, high=most * (1 + VOLTS_SHARE))), charger.id, "voltage"
        )


def _charged(subject: Subject, charger: Item) -> Battery | None:
    """Return the battery whose plus a charger's output reaches when everything is closed."""
    port = "out.plus" if f"{charger.id}.out.plus" in charger.terminals else "plus"
    for item in subject.network.of_kind("battery"):
        if isinstance(item.spec, Battery) and subject.dead.live_potentials.same(
            f"{item.id}.plus", f"{charger.id}.{port}"
        ):
            return item.spec
    return None


def last_tests(subject: Subject) -> Iterator[Test]:
    """Yield what is done when all else has passed."""
    network = subject.network
    if any(subject.inlets.values()):
        yield Test("inlet-warm", "close", ONCE)
        if any(residual_a(item) for item in network.items.values()):
            yield Test("crossed-polarity", "close", ONCE)
    if network.of_kind("battery"):
        yield Test("battery-alarms", "close", ONCE)
    yield Test("gas-and-smoke", "close", ONCE)
    yield Test("shutdown", "close", once(Expected("s", high=SHUTDOWN_S)))
    yield Test("panel-warm", "close", ONCE)
    yield Test("soak", "close", ONCE)
    yield Test("torque-again", "close", ONCE)
    yield Test("report", "close", ONCE)
