"""Changing over: what a changeover shows, by itself and by hand; the supply lost."""

from collections.abc import Iterator

from asfitted.description.kinds import BatteryCharger, InverterCharger, TransferSwitch
from asfitted.network.model import Item
from asfitted.numbers import quantity
from asfitted.studies.procedures.facts import Facts, one, parts
from asfitted.studies.procedures.model import Procedure, Step


def settle_s(item: Item, side: str = "source 1") -> float | None:
    """Return how long to wait until a changeover stands on a side: its delay and its slowest time; None if nobody
    says.
    """
    spec = item.spec
    if not isinstance(spec, TransferSwitch | InverterCharger):
        return None
    claims = spec.to_source_1 if side == "source 1" else spec.to_source_2
    back = side == (spec.preferred if isinstance(spec, TransferSwitch) else "source 1")
    delay = (spec.picks_up_above.delay_s if spec.picks_up_above and back else None) or 0.0
    return delay + max(claim.value for claim in claims) if claims else None


def wait(item: Item, side: str) -> str:
    """Return how long to wait in words of a clock: never less than some seconds, for nobody sees less."""
    seconds = settle_s(item, side)
    return quantity(max(5.0, 2.0 * (seconds or 15.0)), "s", 2)


def changes(facts: Facts, begins: tuple[str, ...], ends: tuple[str, ...]) -> Iterator[Step]:
    """Yield what is seen at every changeover that stands elsewhere in the second of two states."""
    if not begins or not ends:
        return
    before, after = facts.study.state(begins[0]), facts.study.state(ends[0])
    for item in (*facts.changeovers, *facts.combis):
        side = after.position(item.id)
        if side == before.position(item.id) or not side.startswith("source"):
            continue
        source = facts.part(*(id_ for id_ in facts.sides(item)[int(side[-1]) - 1] if id_ in after.sources))
        fields: dict[str, object] = {"number": side[-1], "wait": wait(item, side), "source": source}
        if isinstance(item.spec, InverterCharger):
            code = "combi-passes" if side == "source 1" else "combi-inverts"
            yield Step(code, (item.id,), fields | {"combi": one(item)})
        else:
            code = "changeover-shows" if source.ids else "changeover-rests"
            yield Step(code, (item.id,), fields | {"changeover": one(item)})


def chosen_by_hand(facts: Facts, source: Item) -> Iterator[Step]:
    """Yield the selector switches that have to be turned to a source."""
    for item in facts.selectors:
        side = facts.side_of(item, source.id)
        if side:
            yield Step("selector-nought", (item.id,), {"selector": one(item)})
            yield Step("selector-to", (item.id,), {"selector": one(item), "number": side[-1]})


def by_hand(facts: Facts) -> Iterator[Procedure]:
    """Yield how each changeover is worked by hand; none where there is only one source, or only an inverter charger."""
    for number, item in enumerate((*facts.changeovers, *facts.selectors), 1):
        first, second = facts.sides(item)
        if not first or not second:
            continue
        fields: dict[str, object] = {
            "changeover": one(item),
            "first": facts.part(*first),
            "second": facts.part(*second),
        }
        manual = not _is_selector(facts, item)
        fields |= {"priority": facts.part(*_preferred(facts, item))} if manual else {}
        steps = tuple(_by_hand(facts, item, fields) if manual else _select(facts, item, fields))
        code = "by-hand" if manual else "select-by-hand"
        yield Procedure(code, steps, subject=item.id, number=_number(facts, item, number), fields=fields)


def _number(facts: Facts, item: Item, number: int) -> int:
    return number - len(facts.changeovers) if _is_selector(facts, item) else number


def _is_selector(facts: Facts, item: Item) -> bool:
    return item in facts.selectors


def _preferred(facts: Facts, item: Item) -> tuple[str, ...]:
    first, second = facts.sides(item)
    return first if getattr(item.spec, "preferred", "source 1") == "source 1" else second


def _by_hand(facts: Facts, item: Item, fields: dict[str, object]) -> Iterator[Step]:
    yield from _heaters_off(facts)
    yield Step("set-manual", (item.id,), fields)
    yield Step("choose-source", (item.id,), fields)
    socket = facts.behind(item)
    if socket:
        yield Step("lamp-in-socket", (socket,), {"socket": facts.part(socket)})
    yield from _stop_chargers(facts, item)
    yield Step("back-to-automatic", (item.id,), fields)


def _select(facts: Facts, item: Item, fields: dict[str, object]) -> Iterator[Step]:
    yield from _heaters_off(facts)
    yield Step("selector-nought", (item.id,), {"selector": one(item)})
    yield Step("choose-source", (item.id,), fields)
    socket = facts.behind(item)
    if socket:
        yield Step("lamp-in-socket", (socket,), {"socket": facts.part(socket)})
    yield from _stop_chargers(facts, item)


def _stop_chargers(facts: Facts, item: Item) -> Iterator[Step]:
    """Yield the chargers that an inverter may feed through a changeover: the battery would charge itself."""
    inverters = {i.id for i in facts.inverters}
    looped = tuple(
        i.id
        for i in facts.kind(BatteryCharger)
        if any(i.id in s.feeding.get(source, ()) for s in facts.settled for source in inverters)
    )
    if looped:
        yield Step("charger-off-inverting", looped, {"chargers": facts.part(*looped)})


def blackout(facts: Facts) -> Iterator[Procedure]:
    """Yield what to do when the supply fails, changeover or not; nothing for a build that is never supplied."""
    if not facts.supplies:
        return
    supply = facts.supplies[0]
    begins, ends = facts.running({supply.id: "live"}), facts.running({supply.id: "dead"})
    over = tuple(changes(facts, begins, ends))
    heat = tuple(_heaters_off(facts))
    steps = (*over, *_taken_over(facts, supply)) if over else tuple(_dark(facts, supply))
    back = tuple(_returns(facts, supply, tuple(changes(facts, ends, begins))))
    yield Procedure("blackout", (*heat, *steps, *back), begins, ends, fields={"supply": one(supply)})


def _heaters_off(facts: Facts) -> Iterator[Step]:
    if heaters := facts.names("heater"):
        yield Step("heaters-off", (), {"heaters": heaters})


def _taken_over(facts: Facts, supply: Item) -> Iterator[Step]:
    stopped = tuple(
        dict.fromkeys(
            fate.charger
            for transfer in facts.study.transfers.transfers
            for fate in transfer.chargers
            if fate.lost == supply.id and not fate.then
        )
    )
    plain = tuple(id_ for id_ in stopped if not isinstance(facts.network.items[id_].spec, InverterCharger))
    if plain:
        yield Step("charger-dark", plain, {"chargers": facts.part(*plain)})
    looped = tuple(
        fate.charger
        for transfer in facts.study.transfers.transfers
        for fate in transfer.chargers
        if fate.lost == supply.id and fate.then in {i.id for i in facts.inverters}
    )
    if looped:
        yield Step("charger-off-inverting", looped, {"chargers": facts.part(*dict.fromkeys(looped))})
    if facts.houses:
        yield Step("note-charge", (), {"batteries": parts(facts.houses)})
    if compressors := facts.names("compressor"):
        yield Step("compressors-wait", (), {"compressors": compressors})


def _dark(facts: Facts, supply: Item) -> Iterator[Step]:
    yield Step("dark-until-back", (supply.id,), {"supply": one(supply)})
    yield from chosen_by_hand(facts, supply)


def _returns(facts: Facts, supply: Item, shows: tuple[Step, ...]) -> Iterator[Step]:
    """Yield the return of the supply: hands off until the changeover shows it."""
    yield Step("until-back", (supply.id,), {"supply": one(supply)})
    yield from shows
    if not shows:
        yield Step("lamp-lights", (supply.id,), {"supply": one(supply)})
    if facts.names("heater"):
        yield Step("heaters-on", (), {"heaters": facts.names("heater")})
