"""Decisions: the same studies run on each option, and what each opens and closes beside the build as chosen."""

from dataclasses import dataclass

from asfitted.description.load import Loaded, load_tree
from asfitted.description.overlay import overlay
from asfitted.description.problems import Problem
from asfitted.description.tree import Mapping, Sequence
from asfitted.studies.results import Finding
from asfitted.studies.study import NotUsable, Study, study


@dataclass(frozen=True)
class OptionResult:
    """One option studied: `study` is None where it cannot be, and then `problems` say why."""

    name: str
    study: Study | None
    problems: tuple[Problem, ...]
    opened: tuple[Finding, ...]
    closed: tuple[Finding, ...]
    parts: tuple[str, ...]


@dataclass(frozen=True)
class DecisionResult:
    """A question with the studies of the build as chosen and of every option."""

    question: str
    chosen: str
    options: tuple[OptionResult, ...]


def decide(base: Study) -> tuple[DecisionResult, ...]:
    """Return every decision of a description with its options studied."""
    node = base.loaded.tree.get("decisions")
    nodes = node.items if isinstance(node, Sequence) else ()
    results = []
    for decision, raw in zip(base.network.description.decisions, nodes, strict=False):
        options = raw.get("options") if isinstance(raw, Mapping) else None
        studied = tuple(
            _option(base, key.text, option)
            for key, option in (options.entries if isinstance(options, Mapping) else ())
            if isinstance(option, Mapping)
        )
        results.append(DecisionResult(decision.question, decision.chosen, studied))
    return tuple(results)


def _option(base: Study, name: str, option: Mapping) -> OptionResult:
    tree, problems = overlay(_without(base.loaded.tree, "decisions", "raised", "accepted"), option)
    loaded = load_tree(tree, base.loaded.text, base.loaded.path, problems)
    try:
        found = study(loaded)
    except NotUsable as not_usable:
        return OptionResult(name, None, not_usable.problems, (), (), ())
    before = {_key(f): f for f in (*base.findings, *(f for f, _ in base.accepted))}
    after = {_key(f): f for f in found.findings}
    return OptionResult(
        name,
        found,
        (),
        tuple(f for key, f in after.items() if key not in before),
        tuple(f for key, f in before.items() if key not in after),
        _parts(base.loaded, loaded),
    )


def _without(tree: Mapping, *sections: str) -> Mapping:
    """Return a tree without sections that speak about the build instead of describing it."""
    return Mapping(tuple(entry for entry in tree.entries if entry[0].text not in sections), tree.mark)


def _key(finding: Finding) -> tuple[str, tuple[str, ...]]:
    return finding.code, finding.where


def _parts(base: Loaded, option: Loaded) -> tuple[str, ...]:
    """Return the ids of equipment and cables that the option needs and the build does not have."""
    if base.description is None or option.description is None:
        return ()
    return tuple(
        id_
        for section in ("equipment", "cables")
        for id_ in getattr(option.description, section)
        if id_ not in getattr(base.description, section)
    )
