"""Driving, charging, the generator, and a battery that runs low."""

from collections.abc import Iterator

from asfitted.description.kinds import Battery, DcInlet, Generator, Inverter, Load
from asfitted.numbers import quantity
from asfitted.studies.commissioning.live import FREQUENCY_SHARE, INVERTER_BAND
from asfitted.studies.coverage import residual_a
from asfitted.studies.demand_ac import ac_voltage_v
from asfitted.studies.procedures.facts import Facts, one, parts
from asfitted.studies.procedures.model import Procedure, Step
from asfitted.studies.procedures.switching import changes, chosen_by_hand

#: settings that move
ROVING = ("road vehicle", "trailer", "boat")


def drive(facts: Facts) -> Iterator[Procedure]:
    """Yield setting off, for what moves: by its own engine, behind a tow vehicle, or under way."""
    setting = facts.network.description.build.setting
    if setting not in ROVING:
        return
    steps = tuple(_drive(facts))
    if steps:
        yield Procedure({"road vehicle": "drive", "trailer": "tow", "boat": "under-way"}[setting], steps)


def _drive(facts: Facts) -> Iterator[Step]:
    for plug in facts.plugs:
        yield Step("lead-stowed", (plug.inlet.id,), {"inlet": one(plug.inlet), "lead": plug.lead})
    for item in facts.generators:
        yield Step("generator-off-cold", (item.id,), {"generator": one(item)})
    for item in facts.inverters:
        yield Step("inverter-off", (item.id,), {"inverter": one(item)})
    for item in facts.kind(DcInlet):
        yield Step("couple", (item.id,), {"plug": one(item)})
    for item in facts.engine_chargers:
        yield Step("engine-charges", (item.id,), {"charger": one(item)})
    if facts.alternators and not facts.engine_chargers:
        yield Step(
            "alternator-charges", (facts.alternators[0].id,), {"alternators": parts(facts.alternators)}
        )


def generator(facts: Facts) -> Iterator[Procedure]:
    """Yield how each generating set is run."""
    for number, item in enumerate(facts.generators, 1):
        away = {p.supply.id: "unplugged" for p in facts.plugs} | {s.id: "dead" for s in facts.fixed}
        begins, ends = facts.running(away), facts.running(away | {item.id: "running"})
        shows = tuple(changes(facts, begins, ends))
        yield Procedure("generator", tuple(_generator(facts, item.id, shows)), begins, ends, item.id, number)


def _generator(facts: Facts, id_: str, shows: tuple[Step, ...]) -> Iterator[Step]:
    item = facts.network.items[id_]
    spec = item.spec
    assert isinstance(spec, Generator)  # noqa: S101  (asked for by kind)
    low, high = (share * spec.voltage_v for share in INVERTER_BAND)
    fields: dict[str, object] = {
        "generator": one(item),
        "volts": quantity(spec.voltage_v, "V"),
        "low": quantity(low, "V"),
        "high": quantity(high, "V"),
        "slow": quantity(spec.frequency_hz * (1 - FREQUENCY_SHARE), "Hz"),
        "fast": quantity(spec.frequency_hz * (1 + FREQUENCY_SHARE), "Hz"),
        "power": quantity(spec.power_w, "W"),
    }
    yield Step("generator-outside", (id_,), fields)
    yield Step("alarm-tested", (), fields)
    if heaters := facts.names("heater"):
        yield Step("heaters-off", (), {"heaters": heaters})
    yield Step("generator-start", (id_,), fields)
    yield from chosen_by_hand(facts, item)
    yield from shows
    main = facts.main_of(item)
    socket = facts.socket(id_)
    if socket:
        yield Step("generator-volts", (socket,), fields | {"socket": facts.part(socket)})
    if main and residual_a(main):
        yield Step("press-test", (main.id,), {"device": one(main)})
        yield Step("on-again", (main.id,), {"device": one(main)})
    yield Step("generator-load", (id_,), fields)
    yield Step("generator-unload", (), fields)
    yield Step("generator-stop", (id_,), fields)
    yield Step("refuel-cold", (id_,), fields)


def charge(facts: Facts) -> Iterator[Procedure]:
    """Yield charging from a supply or a set."""
    if not facts.chargers or not facts.houses:
        return
    begins: tuple[str, ...] = ()
    if facts.supplies:
        begins = facts.running({facts.supplies[0].id: "live"})
    yield Procedure("charge", tuple(_charge(facts)), begins)


def _charge(facts: Facts) -> Iterator[Step]:
    for item in facts.houses:
        yield from _ready(item.id, item.spec, {"battery": one(item)})
    draws = _inputs(facts)
    for item in facts.chargers:
        fields: dict[str, object] = {"charger": one(item)}
        if item.id in draws:
            source, amperes, watts = draws[item.id]
            fields |= {"source": facts.part(source), "amperes": quantity(amperes, "A", 2)}
            fields |= {"watts": quantity(watts, "W", 2)}
            yield Step("charger-room", (item.id,), fields)
        yield Step("charger-lamp", (item.id,), fields)
    for item in facts.houses:
        spec = item.spec
        if isinstance(spec, Battery) and spec.highest_voltage_v:
            top = {"battery": one(item), "volts": quantity(spec.highest_voltage_v, "V")}
            yield Step("charge-rises", (item.id,), top)
    yield Step("charge-ends", tuple(i.id for i in facts.houses), {"batteries": parts(facts.houses)})


def _ready(id_: str, spec: object, fields: dict[str, object]) -> Iterator[Step]:
    assert isinstance(spec, Battery)  # noqa: S101  (asked for by kind)
    if spec.charge_cut_off_below_c is not None:
        limit = quantity(spec.charge_cut_off_below_c, "°C")
        yield Step("battery-warm", (id_,), fields | {"limit": limit})
    elif spec.chemistry == "LiFePO4":
        yield Step("battery-warm-unknown", (id_,), fields)
    if spec.chemistry.startswith("lead-acid"):
        yield Step("battery-air", (id_,), fields)


def _inputs(facts: Facts) -> dict[str, tuple[str, float, float]]:
    """Return charger -> a source that feeds it, the current that it takes there at full output, and its power."""
    found: dict[str, tuple[str, float, float]] = {}
    for bank in facts.study.energy.banks:
        for lines in bank.house.chargers.values():
            for charger, source, line in lines:
                kind = facts.network.items[source].spec
                if not isinstance(kind, Inverter):
                    volts = ac_voltage_v(facts.network, source)
                    found.setdefault(charger, (source, line.input_va / volts, line.input_w))
    return found


def running_low(facts: Facts) -> Iterator[Procedure]:
    """Yield what to leave off when a house battery runs low, in which order, and what brings it back."""
    for number, item in enumerate(facts.houses, 1):
        away = {p.supply.id: "unplugged" for p in facts.plugs} | {s.id: "dead" for s in facts.fixed}
        begins = facts.running(away)
        yield Procedure("running-low", tuple(_low(facts, item.id)), begins, (), item.id, number)


def _low(facts: Facts, id_: str) -> Iterator[Step]:
    item = facts.network.items[id_]
    spec = item.spec
    assert isinstance(spec, Battery)  # noqa: S101  (asked for by kind)
    fields: dict[str, object] = {"battery": one(item)}
    if spec.lowest_voltage_v:
        yield Step("battery-reads", (id_,), fields | {"volts": quantity(spec.lowest_voltage_v, "V")})
    if heaters := facts.names("heater"):
        yield Step("heaters-off", (), {"heaters": heaters})
    for inverter in facts.inverters:
        idle = getattr(inverter.spec, "idle_w", None)
        cut_out = getattr(inverter.spec, "cut_out_below_v", None)
        more: dict[str, object] = {"inverter": one(inverter), "idle": quantity(idle, "W")}
        yield Step("inverter-off-low" if idle else "inverter-off", (inverter.id,), more)
        if cut_out:
            yield Step("cut-out", (inverter.id,), more | {"volts": quantity(cut_out, "V")})
    spare, kept = _spare(facts)
    if spare:
        yield Step("direct-loads-off", spare, {"devices": facts.part(*spare)})
    if kept:
        yield Step("keep-essential", kept, {"loads": facts.part(*kept)})
    yield from _brings_back(facts)
    if spec.protection_opens_below_v:
        volts = quantity(spec.protection_opens_below_v, "V")
        yield Step("protection-opened", (id_,), fields | {"volts": volts})


def _spare(facts: Facts) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the devices of d.c. circuits that may be switched off, and the loads that must not be."""
    kept = tuple(
        item.id
        for item in facts.kind(Load)
        if f"{item.id}.plus" in item.terminals
        and any(load.priority == "essential" or load.duty == "alarm" for load in item.spec.loads.values())  # type: ignore[attr-defined]
    )
    spare = tuple(
        serves.device
        for serves in facts.breakers
        if len(serves.feeds) == 1
        and f"{serves.feeds[0]}.plus" in facts.network.items[serves.feeds[0]].terminals
        and facts.network.items[serves.feeds[0]].kind == "load"
        and serves.feeds[0] not in kept
    )
    return spare, kept


def _brings_back(facts: Facts) -> Iterator[Step]:
    if facts.chargers and (facts.plugs or facts.fixed):
        yield Step("charge-from-supply", (), {"chargers": parts(facts.chargers)})
    if facts.engine_chargers or facts.alternators:
        yield Step("charge-from-engine", (), {"chargers": parts(facts.engine_chargers or facts.alternators)})
    if facts.generators:
        yield Step("charge-from-generator", (), {"generators": parts(facts.generators)})
    if facts.arrays:
        yield Step("charge-from-sun", tuple(i.id for i in facts.arrays), {"arrays": parts(facts.arrays)})
