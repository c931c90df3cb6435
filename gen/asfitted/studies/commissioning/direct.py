"""Tests of the direct-current side: dead, then energised for the first time."""

from collections.abc import Iterator

from asfitted.description.kinds import Battery, Inverter, Load
from asfitted.network.model import Item
from asfitted.studies.commissioning.dead import INSULATION_DC_OHM
from asfitted.studies.commissioning.plan import ONCE, Expected, Subject, Test, once
from asfitted.studies.drops import DropResult

#: at rated current, across a lug or joint (house rule, no published source)
JOINT_V = 0.02
#: batteries joined in parallel, their open-circuit voltages (makers ask for 0.05 to 0.1 V; from memory)
PARALLEL_V = 0.1
#: what nobody switched on may exceed its calculated current by so much (house rule)
QUIET_SHARE, QUIET_A = 0.5, 0.05
#: a cut-out may lie so far beside its set value (house rule)
CUT_OUT_SHARE = 0.03
PROTECTS = ("fuse", "breaker")


def direct_tests(subject: Subject) -> Iterator[Test]:
    """Yield the tests of the direct-current side before it is energised."""
    network = subject.network
    for battery in network.of_kind("battery"):
        yield Test("dc-polarity", "dc", ONCE, battery.id)
    for device in network.of_kind(*PROTECTS):
        if _direct(device) and not device.planned:
            yield Test("fuse-audit", "dc", ONCE, device.id)
    bolted = ("battery", "fuse", "isolator", "busbar", "inverter", "inverter charger", "battery charger")
    for item in network.of_kind(*bolted):
        alternating = any(item.id in state.energised for state in subject.states)
        if not (item.planned or alternating) and (
            _direct(item) or any(t.endswith(".plus") for t in item.terminals)
        ):
            yield Test("torque", "dc", ONCE, item.id)
    if network.of_kind("battery") and not _bonded_minus(subject):
        yield Test("dc-insulation", "dc", once(Expected("Mohm", low=INSULATION_DC_OHM)))
    house = [b for b in network.of_kind("battery") if getattr(b.spec, "use", "house") == "house"]
    if len(house) > 1:
        yield Test("parallel-batteries", "dc", once(Expected("V", high=PARALLEL_V)))


def _direct(item: Item) -> bool:
    return "plus" in getattr(item.spec, "contacts", ()) or item.kind == "busbar"


def _bonded_minus(subject: Subject) -> bool:
    """Tell whether minus of a battery meets the structure."""
    network = subject.network
    metal = [item.id for item in network.of_kind("structure", "earth bar")]
    same = subject.dead.potentials.same
    return any(same(f"{b.id}.minus", m) for b in network.of_kind("battery") for m in metal)


def first_tests(subject: Subject) -> Iterator[Test]:
    """Yield the tests with the battery connected and everything else still off, then under load."""
    network = subject.network
    batteries = network.of_kind("battery")
    if not batteries:
        return
    inverters = [i for i in network.items.values() if isinstance(i.spec, Inverter)]
    yield Test("first-energised", "first", ONCE)
    for battery in batteries:
        if getattr(battery.spec, "use", "house") == "house":
            yield Test("quiescent", "first", once(_quiescent(subject, battery)), battery.id)
    for way in subject.sizing.drops:
        if _shown(subject, way):
            limit = way.limit.value / 100 * way.voltage_v
            detail = f"charging-{way.source}" if way.mode == "charge" else way.source
            fields: dict[str, object] = {"source": way.source.replace("_", " "), "percent": way.limit.value}
            yield Test(
                "dc-drop", "first", once(Expected("V", way.drop_v, high=limit)), way.item, detail, fields
            )
    yield Test("joints-volts", "first", once(Expected("V", high=JOINT_V)))
    yield Test("joints-warm", "first", ONCE)
    for isolator in network.of_kind("isolator"):
        if _direct(isolator):
            yield Test("isolator-under-load", "first", ONCE, isolator.id)
    for inverter in inverters:
        assert isinstance(inverter.spec, Inverter)  # noqa: S101  (asked one line before)
        if inverter.spec.cut_out_below_v:
            set_v = float(inverter.spec.cut_out_below_v)
            expected = Expected("V", set_v, set_v * (1 - CUT_OUT_SHARE), set_v * (1 + CUT_OUT_SHARE))
            yield Test("low-voltage", "first", once(expected), inverter.id)


def _shown(subject: Subject, way: DropResult) -> bool:
    """Tell whether a drop is that of a direct current that flows already; what is planned is not there yet."""
    return way.mode != "supply" and not subject.network.items[way.item].planned


def _quiescent(subject: Subject, battery: Item) -> Expected:
    """Return what flows out of a battery with all loads off: what runs always, on whatever it can reach."""
    assert isinstance(battery.spec, Battery)  # noqa: S101  (asked for by kind)
    watts = sum(
        load.power_w or (load.current_a or 0) * battery.spec.voltage_v
        for item in subject.network.of_kind("load")
        if isinstance(item.spec, Load)
        and subject.dead.live_potentials.same(f"{battery.id}.plus", f"{item.id}.plus")
        for load in item.spec.loads.values()
        if load.duty == "continuous"
    )
    amperes = watts / battery.spec.voltage_v
    return Expected("A", amperes, high=amperes * (1 + QUIET_SHARE) + QUIET_A)
