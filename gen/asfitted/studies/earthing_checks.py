"""Sizes of protective conductors: IEC 60364-5-54 Table 54.2 in cables, 543.1.3 for those on their own."""

from collections.abc import Iterator

from asfitted.description.values import Size
from asfitted.network.model import Cable
from asfitted.studies.auto_size import STANDARD
from asfitted.studies.results import Finding, Grade, Input, Limit, Working
from asfitted.studies.trial import Trial
from asfitted.tables.conductors import protective_conductor_mm2, separate_protective_conductor_mm2
from asfitted.tables.looked import Looked

TOLERANCE = 0.97  # a size in AWG is a few per cent off the metric one it is taken for


def required_mm2(trial: Trial, cable: Cable) -> Looked | None:
    """Return the least protective conductor in a cable, or as a cable of its own; None if it has none."""
    if cable.kind == "ac" and any(core.conductor == "PE" for core in cable.cores):
        return protective_conductor_mm2(trial.sizes[cable.id].mm2)
    if cable.kind not in ("earth", "bond"):
        return None
    # On its own it serves the largest a.c. line conductor at either of its ends, and is taken as unprotected.
    owners = {trial.network.owner[end] for core in cable.cores for end in (core.a, core.b)}
    lines = [
        trial.sizes[other.id].mm2
        for other in trial.loaded
        if other.kind in ("ac", "L")
        and owners & {trial.network.owner[e] for c in other.live for e in (c.a, c.b)}
    ]
    alone = separate_protective_conductor_mm2(protected=False)
    by_line = protective_conductor_mm2(max(lines)) if lines else alone
    return max(alone, by_line, key=lambda looked: looked.value)


def chosen_sizes(trial: Trial) -> dict[str, Size]:
    """Return the smallest standard size that the table allows for each protective conductor written `auto`."""
    return {
        cable.id: next(size for size in STANDARD if size.mm2 >= required.value)
        for cable in trial.network.cables.values()
        if cable.size is None and cable.kind in ("earth", "bond") and (required := required_mm2(trial, cable))
    }


def earthing(trial: Trial) -> Iterator[tuple[Working, tuple[Finding, ...]]]:
    """Yield for each protective conductor its working, with a finding where it is smaller than the table asks."""
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
