"""Case conductors of converters against the d.c. current that they may have to carry.

If the battery's plus touches the case, or the minus conductor comes loose, the case conductor carries what
the d.c. fuse lets through, for as long as that takes to open.
"""

import math
from collections.abc import Iterator

from asfitted.description.kinds import DcDcCharger, Inverter
from asfitted.network.model import Cable, Item
from asfitted.network.states import State, is_earth
from asfitted.studies.capacity import capacity, surroundings
from asfitted.studies.protection import Feed, devices_before
from asfitted.studies.results import Finding, Grade, Input, Limit, Working
from asfitted.studies.trial import Trial

#: ABYC E-11: a case conductor is at most one size smaller than the d.c. plus conductor, its fuse at most 135
#: % of what
#: it carries
FUSE_SHARE = 1.35
CLAUSE = "ABYC E-11"


def case_conductors(
    trial: Trial, feeds: tuple[Feed, ...], states: tuple[State, ...]
) -> Iterator[tuple[Working, tuple[Finding, ...]]]:
    """Yield each case conductor of a converter on a battery whose minus is tied to earth, with its check."""
    for item, cases, fuse_a in _converters(trial, feeds, states):
        if math.isfinite(fuse_a):
            yield _checked(trial, item, cases, fuse_a)


def unfused_cases(trial: Trial, feeds: tuple[Feed, ...], states: tuple[State, ...]) -> Iterator[Finding]:
    """Yield each case conductor of a converter into which a battery drives what it can: one way has no fuse."""
    for item, cases, fuse_a in _converters(trial, feeds, states):
        if not math.isfinite(fuse_a):
            fields = _fields(trial, item, cases) | {
                "fitting_a": math.floor(FUSE_SHARE * sum(_carries_a(trial, c) for c in cases))
            }
            where = (item.id, *(c.id for c in cases))
            yield Finding("case-conductor-unfused", Grade.POTENTIAL, where, cases[0].mark, (), fields, CLAUSE)


def case_needs_a(trial: Trial, feeds: tuple[Feed, ...], states: tuple[State, ...]) -> dict[str, float]:
    """Return what each case conductor written `auto` must carry beside those of given size, by cable id."""
    needs: dict[str, float] = {}
    for _, cases, fuse_a in _converters(trial, feeds, states):
        if not math.isfinite(fuse_a):  # no size would do: the fuse is missing, not copper
            continue
        given = sum(_carries_a(trial, c) for c in cases if c.size)
        for cable in cases:
            if cable.size is None:
                needs[cable.id] = max(needs.get(cable.id, 0.0), fuse_a / FUSE_SHARE - given)
    return needs


def _converters(
    trial: Trial, feeds: tuple[Feed, ...], states: tuple[State, ...]
) -> Iterator[tuple[Item, list[Cable], float]]:
    """Yield each converter with its case conductors and the rating of its d.c. fuse, infinite where none is."""
    for item in trial.network.items.values():
        if not isinstance(item.spec, Inverter | DcDcCharger):
            continue
        plus = f"{item.id}.in.plus" if isinstance(item.spec, DcDcCharger) else f"{item.id}.plus"
        fuse_a = _fuse_a(feeds, plus)
        cases = [c for c in trial.network.cables.values() if c.kind == "earth" and _at_case(c, item)]
        if fuse_a is None or not cases or not any(_minus_on_earth(state, item) for state in states):
            continue
        yield item, cases, fuse_a


def _carries_a(trial: Trial, cable: Cable) -> float:
    where = surroundings(trial.network, cable)
    return capacity(cable, trial.sizes[cable.id], where, trial.rules).current_a


def _at_case(cable: Cable, item: Item) -> bool:
    return any(end.startswith(f"{item.id}.") for core in cable.cores for end in (core.a, core.b))


def _fuse_a(feeds: tuple[Feed, ...], plus: str) -> float | None:
    """Return what flows for long into a plus terminal from the batteries: the rating of the largest device before
    it, infinite where a way has none; None if no battery reaches it.
    """
    found = []
    for feed in feeds:
        if feed.tree.root.endswith(".plus") and plus in feed.tree.came and feed.limit_a == math.inf:
            chain = devices_before(feed.tree, plus, feed.source)
            found.append(chain[0].rating_a if chain else math.inf)
    return max(found, default=None)


def _minus_on_earth(state: State, item: Item) -> bool:
    """Tell whether the minus of an item's battery is tied to the protective side."""
    network = state.network
    minus = f"{item.id}.minus"
    earths = [t for i in network.items.values() for t in i.terminals if is_earth(network, t)]
    return any(state.potentials.same(minus, earth) for earth in earths)


def _checked(
    trial: Trial, item: Item, cases: list[Cable], fuse_a: float
) -> tuple[Working, tuple[Finding, ...]]:
    carries = sum(_carries_a(trial, c) for c in cases)
    sizes = " + ".join(trial.sizes[c.id].designation for c in cases)
    working = Working(
        item.id,
        "case_conductor",
        "I_n",
        "I_n",
        (Input("I_n", fuse_a, "A", "rating"), Input("I_z", carries, "A", "table")),
        fuse_a,
        "A",
        CLAUSE,
        Limit("≤", FUSE_SHARE * carries, "A", CLAUSE),
        "holds" if fuse_a <= FUSE_SHARE * carries else "fails",
        note="; ".join((", ".join(c.id for c in cases), sizes)),
    )
    if fuse_a <= FUSE_SHARE * carries:
        return working, ()
    fields = _fields(trial, item, cases) | {
        "fuse_a": fuse_a,
        "needed_a": round(fuse_a / FUSE_SHARE, 1),
    }
    where = (item.id, *(c.id for c in cases))
    return working, (
        Finding("case-conductor-dc", Grade.POTENTIAL, where, cases[0].mark, (), fields, CLAUSE, working.id),
    )


def _fields(trial: Trial, item: Item, cases: list[Cable]) -> dict[str, object]:
    return {
        "equipment": item.id,
        "cable": ", ".join(c.id for c in cases),
        "size": " + ".join(trial.sizes[c.id].designation for c in cases),
        "carries_a": round(sum(_carries_a(trial, c) for c in cases), 1),
    }
