"""Two lines that are of one phase where a build counts on opposite ones: an inverter on both bars, or a pedestal
wired so. What lies between the lines gets nothing, and in a shared neutral the currents add up.
"""

from collections.abc import Iterator

from asfitted.description.kinds import AcSupply
from asfitted.network.build import input_terminals
from asfitted.network.model import Cable, Item
from asfitted.network.states import State
from asfitted.studies.auto_size import fitting_size
from asfitted.studies.cable_findings import larger
from asfitted.studies.protection import Feed, devices_before, foreseeable_a
from asfitted.studies.results import Finding, Grade
from asfitted.studies.trial import Trial


def split_phase_findings(
    trial: Trial, feeds: tuple[Feed, ...], states: tuple[State, ...]
) -> Iterator[Finding]:
    """Yield loads that get nothing, and shared neutrals that a pedestal of one phase overloads; those of a
    source aboard are found with its cables.
    """
    for state in states:
        for source in state.sources:
            for item in _between_lines(trial):
                ends = input_terminals(item)
                if ends and state.reaches(source, ends[0]) and state.live_potentials.same(*ends):
                    yield _dead(item, source, "", state.id)
    for supply in trial.network.of_kind("ac supply"):
        assert isinstance(supply.spec, AcSupply)  # noqa: S101  (asked for by kind)
        for name, site in supply.spec.at.items():
            if supply.spec.split_phase and site.lines == "one phase":
                fed = {id_ for state in states for id_ in state.feeding.get(supply.id, ())}
                yield from (
                    _dead(i, supply.id, f" ({name})", "") for i in _between_lines(trial) if i.id in fed
                )
                yield from _neutrals(trial, [f for f in feeds if f.source == supply.id], name)


def _between_lines(trial: Trial) -> Iterator[Item]:
    for item in trial.network.items.values():
        ends = input_terminals(item)
        if ends and ends[1].endswith(".L2"):
            yield item


def _dead(item: Item, source: str, site: str, state: str) -> Finding:
    fields: dict[str, object] = {"item": item.id, "source": source, "site": site}
    states = (state,) if state else ()
    return Finding("load-between-one-phase", Grade.IMPROVEMENT, (item.id, source), item.mark, states, fields)


def _neutrals(trial: Trial, feeds: list[Feed], site: str) -> Iterator[Finding]:
    """Yield the cables whose neutral is too thin for both of its lines together."""
    for cable in trial.loaded:
        lines = [core for core in cable.live if core.conductor != "N"]
        if len(lines) < 2 or len(lines) == len(cable.live):
            continue
        by_line: dict[str, tuple[float, str]] = {}
        for core in lines:
            for feed in feeds:
                near = feed.tree.fed_end(core)
                if near is not None:
                    before = devices_before(feed.tree, near, feed.source)
                    behind_a = foreseeable_a(feed, feed.tree.far_end(core))[0]
                    let = min(behind_a, *(device.rating_a for device in before[:1]))
                    by_line[core.id] = (max(let, by_line.get(core.id, (0.0, ""))[0]), feed.source)
        total_a = sum(let for let, _ in by_line.values())
        if len(by_line) > 1 and total_a > trial.capacity_a(cable.id):
            yield _overloaded(trial, cable, next(source for _, source in by_line.values()), site, total_a)


def _overloaded(trial: Trial, cable: Cable, source: str, site: str, total_a: float) -> Finding:
    fields: dict[str, object] = {
        "cable": cable.id,
        "size": trial.sizes[cable.id].designation,
        "source": f"{source} ({site})",
        "device": source,
        "current_a": round(total_a, 1),
        "capacity_a": round(trial.capacity_a(cable.id), 1),
        **larger(fitting_size(trial, cable, total_a)),
    }
    clause = trial.rules.clause("shared neutral")
    where = (cable.id, source, site)
    return Finding("shared-neutral", Grade.POTENTIAL, where, cable.mark, (), fields, clause)
