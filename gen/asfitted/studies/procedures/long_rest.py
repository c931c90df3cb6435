"""What comes seldom: the first start, laying up, starting again, after water."""

from collections.abc import Iterator

from asfitted.description.kinds import Battery, Breaker, DcDcCharger, Inverter, Isolator, Rcd, SolarController
from asfitted.network.model import Item
from asfitted.numbers import quantity
from asfitted.studies.commissioning.live import GHOST_V, INVERTER_BAND
from asfitted.studies.coverage import residual_a
from asfitted.studies.demand_ac import ac_voltage_v
from asfitted.studies.procedures.emergency import stays_live
from asfitted.studies.procedures.facts import Facts, one, parts
from asfitted.studies.procedures.model import Parts, Procedure, Step


def long_rest(facts: Facts) -> Iterator[Procedure]:
    """Yield the procedures that an owner needs once in a while, each with its part for a skilled person."""
    dead = _dead(facts)
    yield Procedure("first-start", tuple(_first_start(facts)), dead)
    yield Procedure("after-water", tuple(_water(facts)), skilled=tuple(_dried(facts)))
    if facts.plugs or facts.houses:
        yield Procedure("lay-up", tuple(_lay_up(facts)), ends=dead)
        yield Procedure("re-start", tuple(_again(facts)), dead, skilled=tuple(_measured_again(facts)))


def _dead(facts: Facts) -> tuple[str, ...]:
    still = {p.supply.id: "unplugged" for p in facts.plugs} | {s.id: "dead" for s in facts.fixed}
    return facts.state(still | {i.id: "off" for i in (*facts.inverters, *facts.generators)})


def _first_fuse(facts: Facts, battery: Item) -> Item | None:
    """Return the first fuse or breaker on the plus of a battery: without it nothing behind is fed."""
    end = f"{battery.id}.plus"
    for cable in facts.network.cables.values():
        for core in cable.cores:
            for near, far in ((core.a, core.b), (core.b, core.a)):
                if near == end and facts.network.items[facts.network.owner[far]].kind in ("fuse", "breaker"):
                    return facts.network.items[facts.network.owner[far]]
    return None


def _first_start(facts: Facts) -> Iterator[Step]:
    """Yield the order of the first energising: battery, direct current, inverter, then the supply."""
    yield Step("dead-tests-passed")
    yield Step("all-off")
    for item in facts.houses:
        spec = item.spec
        assert isinstance(spec, Battery)  # noqa: S101  (asked for by kind)
        fuse = _first_fuse(facts, item)
        own = f"{item.id}.plus"
        isolators = [
            i for i in facts.isolators if f"{i.id}.in.plus" in i.terminals and _before(facts, own, i)
        ]
        at = one(fuse) if fuse else one(item)
        span = (
            quantity(spec.lowest_voltage_v or 0.9 * spec.voltage_v, "V"),
            quantity(spec.highest_voltage_v or 1.2 * spec.voltage_v, "V"),
        )
        volts: dict[str, object] = {"battery": one(item), "low": span[0], "high": span[1]}
        if fuse:
            yield Step("fuse-out-polarity", (fuse.id,), volts | {"fuse": at})
            inverters = facts.inverters
            if inverters:
                yield Step("pre-charge", tuple(i.id for i in inverters), {"inverters": parts(inverters)})
            yield Step("fuse-in", (fuse.id,), {"fuse": at})
        for isolator in isolators:
            yield Step("isolator-closed", (isolator.id,), {"isolator": one(isolator)})
    direct = tuple(
        s.device
        for s in (*facts.breakers, *facts.fuses)
        if len(s.feeds) == 1
        and f"{s.feeds[0]}.plus" in facts.network.items[s.feeds[0]].terminals
        and facts.network.items[s.feeds[0]].kind == "load"
    )
    if direct:
        yield Step("direct-one-by-one", direct, {"devices": facts.part(*direct)})
    for item in facts.inverters:
        volts_ac = ac_voltage_v(facts.network, item.id)
        socket = facts.socket(item.id)
        low, high = (quantity(share * volts_ac, "V") for share in INVERTER_BAND)
        if socket:
            yield Step("inverter-first", (item.id,), {
                "inverter": one(item), "socket": facts.part(socket), "low": low, "high": high,
            })  # fmt: skip
    if facts.residual:
        yield Step(
            "trip-in-each-state", tuple(s.device for s in facts.residual), {"devices": _devices(facts)}
        )
    for plug in facts.plugs:
        if facts.inverters or facts.generators:
            yield Step(
                "pins-dead", (plug.inlet.id,), {"inlet": one(plug.inlet), "limit": quantity(GHOST_V, "V")}
            )
    if facts.plugs:
        yield Step("first-plug", (facts.plugs[0].inlet.id,), {"inlet": one(facts.plugs[0].inlet)})
    for supply in facts.fixed:
        main = facts.main_of(supply)
        if main:
            yield Step("main-on", (main.id,), {"main": one(main)})
    both = [i for i in (*facts.changeovers, *facts.combis) if all(facts.sides(i))]
    for item in both:
        yield Step("both-ways", (item.id,), {"changeover": one(item)})
    for item in facts.chargers:
        yield Step("charger-first", (item.id,), {"charger": one(item)})
    yield Step("soak")


def _before(facts: Facts, plus: str, isolator: Item) -> bool:
    """Tell whether an isolator parts a battery from what it feeds, with every other contact closed."""
    closed = facts.network.plus_closed
    return closed.same(plus, f"{isolator.id}.in.plus")


def _devices(facts: Facts) -> Parts:
    return Parts(tuple(serves.device for serves in facts.residual))


def _water(facts: Facts) -> Iterator[Step]:
    yield Step("touch-nothing")
    for plug in facts.plugs:
        yield Step("pull-site-end-dry", (plug.supply.id,), {"inlet": one(plug.inlet), "lead": plug.lead})
    for supply in facts.fixed:
        main = facts.main_of(supply)
        if main:
            yield Step("main-off-dry", (main.id,), {"main": one(main)})
    for isolator in facts.isolators:
        if isolator.id not in {main.id for s in facts.fixed if (main := facts.main_of(s))}:
            yield Step("isolator-open-dry", (isolator.id,), {"isolator": one(isolator)})
    yield Step("mark-waterline")
    if any(getattr(i.spec, "chemistry", "") == "LiFePO4" for i in facts.houses):
        lithium = [i for i in facts.houses if getattr(i.spec, "chemistry", "") == "LiFePO4"]
        yield Step("lithium-outdoors", tuple(i.id for i in lithium), {"batteries": parts(lithium)})


def _dried(facts: Facts) -> Iterator[Step]:
    """Yield the part of a skilled person: what is scrap, what is dried and measured."""
    scrap = [
        item
        for item in facts.kind(Breaker, Rcd, Inverter, DcDcCharger, SolarController)
        if residual_a(item) is not None or not isinstance(item.spec, Breaker)
    ]
    scrap += [i for i in facts.chargers if i not in scrap]
    if scrap:
        yield Step("wet-is-scrap", tuple(i.id for i in scrap), {"devices": parts(scrap)})
    yield Step("rinse-and-dry")
    yield Step("insulation-again")
    yield Step("start-again")


def _lay_up(facts: Facts) -> Iterator[Step]:
    for plug in facts.plugs:
        yield Step("lead-out", (plug.inlet.id,), {"inlet": one(plug.inlet), "lead": plug.lead})
    for item in facts.houses:
        lithium = getattr(item.spec, "chemistry", "") == "LiFePO4"
        code = "store-lithium" if lithium else "store-lead"
        yield Step(code, (item.id,), {"battery": one(item)})
    for item in facts.inverters:
        yield Step("inverter-off", (item.id,), {"inverter": one(item)})
    if facts.residual:
        yield Step("residual-off", tuple(s.device for s in facts.residual), {"devices": _devices(facts)})
    solar = [i for i in facts.isolators if _is_solar(facts, i)]
    for isolator in (*solar, *(i for i in facts.isolators if i not in solar)):
        code = "solar-off" if isolator in solar else "isolator-open-rest"
        yield Step(code, (isolator.id,), {"isolator": one(isolator)})
    for source, held in stays_live(facts):
        loads = tuple(id_ for id_ in held if facts.network.items[id_].kind == "load")
        if loads:
            yield Step("pull-last-fuse", loads, {"battery": facts.part(source), "loads": facts.part(*loads)})
    for plug in facts.plugs:
        yield Step("cover", (plug.inlet.id,), {"inlet": one(plug.inlet)})
    if facts.isolators:
        yield Step("tag", tuple(i.id for i in facts.isolators), {"isolators": parts(facts.isolators)})
    if facts.houses:
        yield Step("look-monthly", tuple(i.id for i in facts.houses), {"batteries": parts(facts.houses)})


def _is_solar(facts: Facts, isolator: Item) -> bool:
    closed = facts.network.plus_closed
    return any(closed.same(f"{a.id}.plus", f"{isolator.id}.in.plus") for a in facts.arrays)


def _again(facts: Facts) -> Iterator[Step]:
    yield Step("look-round")
    for item in facts.houses:
        spec = item.spec
        if isinstance(spec, Battery) and spec.lowest_voltage_v:
            fields = {"battery": one(item), "volts": quantity(spec.lowest_voltage_v, "V")}
            yield Step("battery-above", (item.id,), fields)
    order = sorted(facts.isolators, key=lambda i: _is_solar(facts, i))
    for isolator in order:
        if isinstance(isolator.spec, Isolator):
            yield Step("isolator-on", (isolator.id,), {"isolator": one(isolator)})
    for serves in facts.residual:
        device = facts.network.items[serves.device]
        if device.kind != "GFCI receptacle":
            yield Step("on-and-test", (device.id,), {"device": one(device)})
    for item in facts.inverters:
        yield Step("inverter-on", (item.id,), {"inverter": one(item)})


def _measured_again(facts: Facts) -> Iterator[Step]:
    yield Step("torque-sample")
    yield Step("insulation-again")
    if facts.residual:
        yield Step(
            "trip-in-each-state", tuple(s.device for s in facts.residual), {"devices": _devices(facts)}
        )
