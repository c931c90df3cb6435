"""Voltage drop from each source to each consumer, the worst of all states, with its limit."""

from collections.abc import Iterator
from dataclasses import dataclass

from asfitted.studies.limits import drop_limit
from asfitted.studies.results import Finding, Grade, Input, Limit, Working
from asfitted.studies.scenario import Mode
from asfitted.studies.trial import Trial, standard_sizes
from asfitted.tables.looked import Looked


@dataclass(frozen=True)
class DropResult:
    """The drop from a source to a consumer, or from a charger to its battery; `cables` gives each cable's
    part in V.
    """

    source: str
    item: str
    mode: Mode
    state: str
    voltage_v: float
    drop_v: float
    drop_percent: float
    limit: Looked
    cables: tuple[tuple[str, float], ...]

    @property
    def holds(self) -> bool:
        """Whether the drop is within its limit."""
        return self.drop_percent <= self.limit.value


def drops(trial: Trial) -> tuple[DropResult, ...]:
    """Return the worst drop of each pair of source and consumer, in the order of the scenarios."""
    found: dict[tuple[str, str, Mode], DropResult] = {}
    for number, scenario in enumerate(trial.scenarios):
        for item, cores in trial.drops(number).items():
            by_cable: dict[str, float] = {}
            for core, volts in cores.items():
                cable = trial.network.cores[core].cable
                # a charger's current runs the other way; its drop counts all the same
                by_cable[cable] = by_cable.get(cable, 0.0) + (-volts if scenario.mode == "charge" else volts)
            total = sum(by_cable.values())
            result = DropResult(
                scenario.source,
                item,
                scenario.mode,
                scenario.state.id,
                scenario.voltage_v,
                total,
                100 * total / scenario.voltage_v if scenario.voltage_v else 0.0,
                drop_limit(trial.network, trial.rules, scenario, item),
                tuple(by_cable.items()),
            )
            key = (scenario.source, item, scenario.mode)
            if key not in found or total > found[key].drop_v:
                found[key] = result
    return tuple(found.values())


def drop_working(way: DropResult) -> Working:
    """Return the working of one drop: the sum of the parts of its cables."""
    inputs = tuple(Input(f"ΔU({cable})", volts, "V", "cable") for cable, volts in way.cables)
    inputs += (Input("U", way.voltage_v, "V", "nominal" if way.mode == "supply" else "battery"),)
    percent = way.drop_percent
    return Working(
        f"{way.source}–{way.item}",
        "voltage_drop",
        "ΔU",
        "100 · Σ ΔU / U",
        inputs,
        percent,
        "%",
        way.limit.source,
        Limit("≤", way.limit.value, "%", way.limit.source),
        "holds" if way.holds else "fails",
        f"{way.state}.{way.mode}" if way.mode != "supply" else way.state,
        verified=way.limit.verified,
    )


def drop_finding(trial: Trial, way: DropResult) -> Iterator[Finding]:
    """Yield the finding of a drop above its limit."""
    if way.holds:
        return
    largest, part_v = max(way.cables, key=lambda part: part[1])
    fields: dict[str, object] = {
        "source": way.source,
        "item": way.item,
        "drop_v": round(way.drop_v, 2),
        "drop_percent": round(way.drop_percent, 1),
        "limit_percent": way.limit.value,
        "cable": largest,
        "fitting_size": _thicker(trial, largest, part_v, way),
    }
    mark = trial.network.cables[largest].mark
    clause = trial.rules.clause("voltage drop")
    yield Finding(
        "drop-exceeded",
        Grade.IMPROVEMENT,
        (way.item, largest),
        mark,
        (way.state,),
        fields,
        clause,
        drop_working(way).id,
    )


def _thicker(trial: Trial, cable: str, part_v: float, way: DropResult) -> str:
    """Return the standard size with which one cable alone would bring a way within its limit, or a dash."""
    allowed_v = part_v - way.drop_v * (1 - way.limit.value / way.drop_percent)
    if allowed_v <= 0:
        return "–"
    needed_mm2 = trial.sizes[cable].mm2 * part_v / allowed_v
    sizes = standard_sizes(trial.network, trial.rules, trial.network.cables[cable])
    return next((size.designation for size in sizes if size.mm2 >= needed_mm2), "–")
