"""Sizes of protective conductors, by the table of the rule set: in cables, and those on their own."""

from collections.abc import Iterator, Mapping

from asfitted.description.values import Size
from asfitted.network.model import Cable
from asfitted.studies.capacity import capacity, surroundings
from asfitted.studies.protection import devices_before
from asfitted.studies.results import Finding, Grade, Input, Limit, Working
from asfitted.studies.trial import Trial, standard_sizes
from asfitted.tables.looked import Looked
from asfitted.tables.rules.rule_set import Earthing

TOLERANCE = 0.97  # a size in AWG is a few per cent off the metric one it is taken for


def required_mm2(trial: Trial, cable: Cable) -> Looked | None:
    """Return the least protective conductor in a cable, or as a cable of its own; None if it has none."""
    if cable.kind == "ac" and any(core.conductor == "PE" for core in cable.cores):
        return trial.rules.protective(
            Earthing(trial.sizes[cable.id], _device_a(trial, cable), separate=False)
        )
    if cable.kind not in ("earth", "bond"):
        return None
    # On its own it serves the largest a.c. line conductor at either of its ends, and is taken as unprotected.
    owners = {trial.network.owner[end] for core in cable.cores for end in (core.a, core.b)}
    served = [
        other
        for other in trial.loaded
        if other.kind in ("ac", "L")
        and owners & {trial.network.owner[e] for c in other.live for e in (c.a, c.b)}
    ]
    line = max((trial.sizes[other.id] for other in served), key=lambda size: size.mm2, default=None)
    ratings = [rating for other in served if (rating := _device_a(trial, other))]
    structure = any(trial.network.items[owner].kind == "structure" for owner in owners)
    return trial.rules.protective(
        Earthing(line, max(ratings, default=None), separate=True, to_structure=structure)
    )


def _device_a(trial: Trial, cable: Cable) -> float | None:
    """Return the rating of the largest overcurrent device through which a cable is fed; None if there is
    none.
    """
    found: list[float] = []
    for scenario in trial.scenarios:
        out = trial.tree_from(scenario, scenario.terminals[0])
        for core in cable.live:
            near = out.fed_end(core)
            if near is None or scenario.mode != "supply":
                continue
            found += [d.rating_a for d in devices_before(out, near, scenario.source)[:1]]
    return max(found, default=None)


def chosen_sizes(trial: Trial, needs_a: Mapping[str, float]) -> dict[str, Size]:
    """Return the smallest standard size for each protective conductor written `auto`: by the table of the
    rule set, and by the current that a case conductor must carry (`needs_a`, by cable id).
    """
    return {
        cable.id: _smallest(trial, cable, required.value, needs_a.get(cable.id, 0.0))
        for cable in trial.network.cables.values()
        if cable.size is None and cable.kind in ("earth", "bond") and (required := required_mm2(trial, cable))
    }


def _smallest(trial: Trial, cable: Cable, least_mm2: float, needs_a: float) -> Size:
    sizes, where = standard_sizes(trial.network, trial.rules, cable), surroundings(trial.network, cable)
    return next(
        (
            size
            for size in sizes
            if size.mm2 >= TOLERANCE * max(least_mm2, cable.at_least.mm2 if cable.at_least else 0.0)
            and (not needs_a or capacity(cable, size, where, trial.rules).current_a >= needs_a)
        ),
        sizes[-1],
    )


def earthing(trial: Trial) -> Iterator[tuple[Working, tuple[Finding, ...]]]:
    """Yield for each protective conductor its working, with a finding where it is smaller than the table
    asks.
    """
    for cable in trial.network.cables.values():
        required = required_mm2(trial, cable)
        if required is None:
            continue
        core = next((c for c in cable.cores if c.conductor == "PE"), cable.cores[0])
        actual = (core.size or trial.sizes[cable.id]).mm2
        holds = actual >= TOLERANCE * required.value
        limit = Limit("≥", required.value, "mm²", required.source)
        working = Working(
            cable.id,
            "protective_conductor",
            "S_PE",
            "S_PE",
            (Input("S_PE", actual, "mm²", "described"),),
            actual,
            "mm²",
            required.source,
            limit,
            "holds" if holds else "fails",
            verified=required.verified,
        )
        finding = Finding(
            "protective-conductor-small",
            Grade.INVESTIGATION,
            (cable.id,),
            cable.mark,
            fields={"cable": cable.id, "size_mm2": round(actual, 2), "required_mm2": required.value},
            clause=required.source,
            working=working.id,
        )
        yield working, () if holds else (finding,)
