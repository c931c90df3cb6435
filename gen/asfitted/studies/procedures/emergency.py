"""Emergency isolation: from outside first, then aboard, then what stays live and what cannot be reached in smoke."""

from collections.abc import Iterator

from asfitted.description.kinds import Battery, DcInlet, DcSupply, Inline
from asfitted.network.model import Item
from asfitted.network.states import behind_dc_inlet
from asfitted.studies.isolation import isolation, potentials_without
from asfitted.studies.procedures.facts import Facts, one, parts
from asfitted.studies.procedures.model import Parts, Procedure, Step


def emergency(facts: Facts) -> Procedure:
    """Return the order of isolation of a build, the same for every emergency."""
    return Procedure("emergency", tuple(_steps(facts)))


def _steps(facts: Facts) -> Iterator[Step]:
    yield Step("everybody-out")
    yield from _from_outside(facts)
    for item in facts.inverters:
        yield Step("inverter-off-emergency", (item.id,), {"inverter": one(item)})
    mains = [main.id for supply in facts.fixed if (main := facts.main_of(supply))]
    for item in facts.isolators:
        if item.id not in mains:
            yield _open(facts, item)
    if facts.houses:
        yield Step("call-battery", tuple(i.id for i in facts.houses), {"batteries": parts(facts.houses)})
    else:
        yield Step("call")


def _from_outside(facts: Facts) -> Iterator[Step]:
    """Yield what can be done without going in: plugs, gas, engine, generator."""
    for plug in facts.plugs:
        yield Step("pull-site-end", (plug.supply.id,), {"inlet": one(plug.inlet), "lead": plug.lead})
    for supply in facts.fixed:
        main = facts.main_of(supply)
        if main:
            yield Step("main-off-emergency", (main.id,), {"main": one(main)})
    spaces = facts.network.description.spaces
    gas = ", ".join(name for name, space in spaces.items() if space.holds == "gas cylinders")
    yield Step("gas-locker-off", (), {"place": gas}) if gas else Step("gas-off")
    for item in facts.generators:
        yield Step("generator-stop-emergency", (item.id,), {"generator": one(item)})
    if facts.alternators:
        yield Step("engine-off", (), {"alternators": parts(facts.alternators)})
    for item in facts.kind(DcInlet):
        behind = behind_dc_inlet(facts.network, item.id)
        code = "uncouple" if any(_is_supply(facts, id_) for id_ in behind) else "unplug-array"
        yield Step(code, (item.id,), {"plug": one(item)})


def _is_supply(facts: Facts, id_: str) -> bool:
    return isinstance(facts.network.items[id_].spec, DcSupply)


def _open(facts: Facts, item: Item) -> Step:
    kept = kept_by(facts, item)
    loads = tuple(id_ for id_ in kept.ids if facts.network.items[id_].kind == "load")
    others = Parts(tuple(id_ for id_ in kept.ids if id_ not in loads))
    fields: dict[str, object] = {"isolator": one(item), "kept": others if others.ids else kept}
    if not kept.ids:
        return Step("isolator-open", (item.id,), fields)
    return Step(
        "isolator-open-keeps-all" if loads and others.ids else "isolator-open-keeps", (item.id,), fields
    )


def kept_by(facts: Facts, isolator: Item) -> Parts:
    """Return what a source goes on feeding if this isolator alone cannot be opened: it may lie in the smoke."""
    others = frozenset(item.id for item in facts.isolators if item.id != isolator.id)
    all_open = others | {isolator.id}
    dead = min(facts.study.states, key=lambda state: len(state.sources))
    without, with_it = potentials_without(dead, others), potentials_without(dead, all_open)
    ends = [f"{item.id}.plus" for item in (*facts.kind(Battery), *facts.arrays)]
    reached = {without.find(end) for end in ends}
    left = {with_it.find(end) for end in ends}
    return Parts(
        tuple(
            dict.fromkeys(
                item.id
                for item in facts.there
                if item.kind not in ("busbar", "battery", "solar array") and not isinstance(item.spec, Inline)
                for end in item.terminals
                if end.endswith("plus") and without.find(end) in reached and with_it.find(end) not in left
            )
        )
    )


def stays_live(facts: Facts) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return each source with what it still holds live after every step."""
    return isolation(facts.network, facts.study.states).stays_live
