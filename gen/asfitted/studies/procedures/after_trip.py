"""After a trip: questions with answers that lead to the cause, over the devices of this build."""

from collections.abc import Iterator

from asfitted.description.kinds import Breaker, Inverter
from asfitted.numbers import quantity
from asfitted.studies.commissioning.live import LEAKAGE_SHARE
from asfitted.studies.coverage import residual_a
from asfitted.studies.procedures.facts import Facts, parts
from asfitted.studies.procedures.model import Answer, Parts, Question, Serves, Step, Tree


def after_trip(facts: Facts) -> Tree | None:
    """Return the tree of a build, or None where nothing can trip or blow."""
    if not (facts.residual or facts.breakers or facts.fuses):
        return None
    return Tree(
        tuple(_questions(facts)),
        tuple(_skilled(facts)),
        facts.residual,
        facts.breakers,
        facts.fuses,
    )


def _questions(facts: Facts) -> Iterator[Question]:
    yield Question("danger", (Answer("danger-yes", "emergency"), Answer("danger-no", "which")))
    yield Question("which", tuple(_kinds(facts)))
    if facts.residual:
        yield from _residual(facts)
    if _switched(facts):
        yield from _breaker(facts)
    if facts.inverters:
        yield from _inverter(facts)
    if facts.fuses:
        yield from _fuse()
    if facts.plugs or facts.fixed:
        yield _supply(facts)


def _kinds(facts: Facts) -> Iterator[Answer]:
    if facts.residual:
        yield Answer("which-residual", "all-off")
    if _switched(facts):
        yield Answer("which-breaker", "unplug-that")
    if facts.inverters:
        yield Answer("which-inverter", "inverter-alone")
    if facts.fuses:
        yield Answer("which-fuse", "fuse-cause")
    if facts.plugs or facts.fixed:
        yield Answer("which-supply", "supply-dead" if facts.plugs else "supply-dead-fixed")


def _switched(facts: Facts) -> tuple[Serves, ...]:
    """Return the devices that open on overcurrent and are switched on again: residual ones do so as well."""
    both = (*facts.breakers, *facts.residual)
    return tuple(s for s in both if isinstance(facts.network.items[s.device].spec, Breaker))


def _residual(facts: Facts) -> Iterator[Question]:
    devices = Parts(tuple(s.device for s in facts.residual))
    others = Parts(tuple(s.device for s in _final(facts)))
    states = tuple(_states(facts))
    again = (Answer("trips-again", "in-which-state"),) if len(states) > 1 else states
    yield Question(
        "all-off",
        (*again, Answer("holds", "press")),
        devices.ids,
        {"devices": devices, "others": others},
    )
    yield Question("press", (Answer("opens", "one-by-one"), Answer("stays", _stop(facts))), devices.ids)
    yield Question(
        "one-by-one",
        (Answer("trips-at-circuit", "stop-circuit"), Answer("all-hold", "appliances")),
        others.ids,
        {"others": others},
    )
    yield Question(
        "appliances", (Answer("trips-at-appliance", "stop-appliance"), Answer("none-trips", "log"))
    )
    if len(states) > 1:
        yield Question("in-which-state", states)


def _stop(facts: Facts) -> str:
    """Return the end at which all of it stays off."""
    return "stop-all" if facts.plugs else "stop-all-fixed"


def _final(facts: Facts) -> tuple[Serves, ...]:
    """Return the devices nearest to what they serve: those of single circuits."""
    every = (*facts.residual, *facts.breakers)
    return tuple(
        s
        for s in every
        if s.feeds
        and not any(
            set(o.feeds) < set(s.feeds)
            or (set(o.feeds) == set(s.feeds) and _behind(facts, s.device, o.device))
            for o in every
            if o.device != s.device
        )
        and any(f"{f}.L" in facts.network.items[f].terminals for f in s.feeds)
    )


def _behind(facts: Facts, first: str, second: str) -> bool:
    """Tell whether the second of two devices lies behind the first on a way from a source."""
    for state in facts.settled:
        for source, fed in state.feeding.items():
            for consumer in fed:
                way = facts.way(state, source, consumer)
                if first in way and second in way:
                    return way.index(first) < way.index(second)
    return False


def _states(facts: Facts) -> Iterator[Answer]:
    single = any(
        f"{s.device}.in.N" not in facts.network.items[s.device].terminals
        or "N" not in getattr(facts.network.items[s.device].spec, "contacts", ("N",))
        for s in _final(facts)
        if facts.network.items[s.device].kind != "GFCI receptacle"
    )
    supplied = bool(facts.plugs or facts.fixed)
    aboard = bool(facts.inverters or facts.generators)
    if supplied and aboard:
        yield Answer("only-supplied-single" if single else "only-supplied", _stop(facts))
        yield Answer("only-aboard", _stop(facts))
        yield Answer("in-both", _stop(facts))
    else:
        yield Answer("always-single" if single else "always", _stop(facts))


def _breaker(facts: Facts) -> Iterator[Question]:
    yield Question("unplug-that", (Answer("holds-empty", "too-much"), Answer("trips-empty", "stop-circuit")))
    yield Question("too-much", (Answer("one-trips-it", "stop-appliance"), Answer("together-trip-it", "log")))


def _inverter(facts: Facts) -> Iterator[Question]:
    others = Parts(tuple(s.device for s in _final(facts) if _on_inverter(facts, s)))
    inverters = parts(facts.inverters)
    answers = [Answer("runs-alone", "inverter-circuits"), Answer("faults-alone", _stop(facts))]
    answers += [Answer("battery-low", "running-low")] if facts.houses else []
    fields: dict[str, object] = {"inverters": inverters, "others": others}
    yield Question("inverter-alone", tuple(answers), inverters.ids, fields)
    yield Question(
        "inverter-circuits",
        (Answer("stops-at-circuit", "stop-circuit"), Answer("runs-with-all", "log")),
        others.ids,
        {"others": others},
    )


def _on_inverter(facts: Facts, serves: Serves) -> bool:
    fed = {f for state in facts.settled for i in facts.inverters for f in state.feeding.get(i.id, ())}
    return bool(set(serves.feeds) & fed)


def _fuse() -> Iterator[Question]:
    yield Question("fuse-cause", (Answer("cause-found", "fuse-new"), Answer("no-cause", "stop-circuit")))
    yield Question("fuse-new", (Answer("fuse-holds", "log"), Answer("fuse-blows", "stop-circuit")))


def _supply(facts: Facts) -> Question:
    if facts.plugs:
        inlets = parts(plug.inlet for plug in facts.plugs)
        answers = (Answer("site-holds", "log"), Answer("site-trips", "stop-lead"))
        return Question("supply-dead", answers, tuple(p.supply.id for p in facts.plugs), {"inlets": inlets})
    return Question("supply-dead-fixed", (Answer("grid-back", "log"), Answer("grid-stays", _stop(facts))))


def _skilled(facts: Facts) -> Iterator[Step]:
    yield Step("skilled-insulation")
    if facts.residual:
        least = min(r for s in facts.residual if (r := residual_a(facts.network.items[s.device])))
        fields: dict[str, object] = {
            "limit": quantity(LEAKAGE_SHARE * least, "A"),
            "residual": quantity(least, "A"),
        }
        yield Step("skilled-leakage", tuple(s.device for s in facts.residual), fields)
        yield Step("skilled-bonds")
        yield Step("skilled-trip", tuple(s.device for s in facts.residual))
    if any(isinstance(i.spec, Inverter) for i in facts.inverters):
        yield Step(
            "skilled-waveform", tuple(i.id for i in facts.inverters), {"inverters": parts(facts.inverters)}
        )


def ends() -> tuple[str, ...]:
    """Return the codes at which a way through the tree may end, besides procedures."""
    return ("stop-all", "stop-all-fixed", "stop-circuit", "stop-appliance", "stop-lead", "log")
