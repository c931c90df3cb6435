"""Decisions: the same studies run on each option, and what each opens and closes beside the build as chosen."""

from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from multiprocessing import get_context
from os import cpu_count

from asfitted.description.load import Loaded, load_tree
from asfitted.description.overlay import overlay
from asfitted.description.problems import Problem
from asfitted.description.tree import Mapping, Sequence
from asfitted.studies.comparison import Comparison, Tally, compare
from asfitted.studies.results import Finding
from asfitted.studies.study import NotUsable, Study, study


@dataclass(frozen=True)
class OptionResult:
    """One option studied. `study`, `tally` and `compared` are None where it cannot be; then `problems` say why.

    `opened` and `closed` are findings that the build as chosen does not have, or no longer; `parts` the ids of
    equipment and cables that it needs besides, `saved` those that it does without.
    """

    name: str
    study: Study | None
    problems: tuple[Problem, ...]
    opened: tuple[Finding, ...] = ()
    closed: tuple[Finding, ...] = ()
    parts: tuple[str, ...] = ()
    saved: tuple[str, ...] = ()
    tally: Tally | None = None
    compared: Comparison | None = None

    @property
    def refused(self) -> tuple[Finding, ...]:
        """The findings of the two upper classes that it opens."""
        return tuple(finding for finding in self.opened if finding.grade.bars_publication)


@dataclass(frozen=True)
class DecisionResult:
    """A question with what the build as chosen comes to, and the studies of every option."""

    question: str
    chosen: str
    tally: Tally
    options: tuple[OptionResult, ...]


def decide(base: Study, workers: int | None = None) -> tuple[DecisionResult, ...]:
    """Return every decision of a description with its options studied, by as many processes as there are
    processors (or `workers`; 1 stays in this one).
    """
    wanted = [_options(base, number) for number in range(len(base.network.description.decisions))]
    loaded = [option for options in wanted for _, option in options]
    studied = _study_all(loaded, workers or cpu_count() or 1, base)
    tally = Tally(base.faults.faults)
    results = []
    for decision, options in zip(base.network.description.decisions, wanted, strict=True):
        found = tuple(_result(base, name, option, next(studied)) for name, option in options)
        results.append(DecisionResult(decision.question, decision.chosen, tally, found))
    return tuple(results)


def _options(base: Study, number: int) -> list[tuple[str, Loaded]]:
    """Return the options of a decision by name, each laid over the description."""
    node = base.loaded.tree.get("decisions")
    raw = node.items[number] if isinstance(node, Sequence) else None
    options = raw.get("options") if isinstance(raw, Mapping) else None
    plain = _without(base.loaded.tree, "decisions", "raised", "accepted")
    found = []
    for name, option in options.entries if isinstance(options, Mapping) else ():
        if isinstance(option, Mapping):
            tree, problems = overlay(plain, option)
            found.append((name.text, load_tree(tree, base.loaded.text, base.loaded.path, problems)))
    return found


def _study_all(loaded: list[Loaded], workers: int, base: Study) -> Iterator[Study | tuple[Problem, ...]]:
    """Yield the studies of options in their order, while this process plays the faults of the build itself."""
    if workers == 1 or len(loaded) < 2:
        yield from map(_study, loaded)
        return
    # spawned, not forked: a server that rebuilds has threads
    with ProcessPoolExecutor(min(workers, len(loaded)), get_context("spawn")) as pool:
        running = pool.map(_study, loaded)
        _ = base.faults
        yield from running


def _study(loaded: Loaded) -> Study | tuple[Problem, ...]:
    try:
        found = study(loaded)
    except NotUsable as not_usable:
        return not_usable.problems
    _ = found.faults  # played here, not where the study is read
    return found


def _result(base: Study, name: str, loaded: Loaded, found: Study | tuple[Problem, ...]) -> OptionResult:
    if not isinstance(found, Study):
        return OptionResult(name, None, found)
    # what was measured says nothing about an option
    before = {_key(f): f for f in (*base.findings, *(f for f, _ in base.accepted)) if not f.file}
    after = {_key(f): f for f in found.findings}
    return OptionResult(
        name,
        found,
        (),
        tuple(f for key, f in after.items() if key not in before),
        tuple(f for key, f in before.items() if key not in after),
        _parts(base.loaded, loaded),
        _parts(loaded, base.loaded),
        Tally(found.faults.faults),
        compare(base.faults.faults, found.faults.faults),
    )


def _without(tree: Mapping, *sections: str) -> Mapping:
    """Return a tree without sections that speak about the build instead of describing it."""
    return Mapping(tuple(entry for entry in tree.entries if entry[0].text not in sections), tree.mark)


def _key(finding: Finding) -> tuple[str, tuple[str, ...]]:
    return finding.code, finding.where


def _parts(base: Loaded, option: Loaded) -> tuple[str, ...]:
    """Return the ids of equipment and cables that `option` needs and `base` does not have."""
    if base.description is None or option.description is None:
        return ()
    return tuple(
        id_
        for section in ("equipment", "cables")
        for id_ in getattr(option.description, section)
        if id_ not in getattr(base.description, section)
    )
