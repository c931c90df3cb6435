"""Earth faults and short-circuits at outlets: least and greatest current, loop impedance, time to
disconnection.

A source that limits its current never passes by its loop: what is said of it is that it collapses, and
within what time, or which residual current device disconnects.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from asfitted.network.build import input_terminals
from asfitted.network.model import Core
from asfitted.network.resistance import core_resistance_20c
from asfitted.network.states import State
from asfitted.studies.demand_ac import ac_voltage_v
from asfitted.studies.disconnection import (
    Disconnection,
    collapses_s,
    demanded_time,
    overcurrent_releases,
    residual_releases,
)
from asfitted.studies.earth_path import protective_way, return_terminal
from asfitted.studies.electrodes import TOUCH_LIMIT_V, OwnElectrode, own_electrode
from asfitted.studies.feeding import Element
from asfitted.studies.loop_supplies import LoopSupply, loop_supplies, site_release
from asfitted.studies.protection import Feed
from asfitted.studies.trial import Trial
from asfitted.tables.looked import Looked

#: BS 7671:2018 Table 41.3: share of the nominal voltage that drives the least fault current
C_MIN = 0.95

Outcome = Literal["overcurrent", "residual", "collapses", "not shown", "too slow", "not known", "no path"]


@dataclass(frozen=True)
class LoopResult:
    """An earth fault at an outlet while a source feeds it, at one of the sites (`site`, empty for the usual
    one).

    `loop_ohm` is the whole loop with hot conductors, None where the source limits its current or nobody
    knows; `least_a` drives the device, `greatest_a` is the short-circuit between line and neutral with cold
    conductors. `allowed_ohm` is the loop of the supply itself up to which the overcurrent device alone, and
    `allowed_rcd_ohm` up to which the residual device, still disconnects in time. `electrode` is that of the
    build, through which a TT system returns the fault.
    """

    outlet: str
    source: str
    state: str
    site: str
    system: Literal["TN", "TT", "IT", "limited"]
    loop_ohm: float | None
    supply_ohm: float
    line_ohm: complex
    earth_ohm: complex
    voltage_v: float
    least_a: float | None
    greatest_a: float | None
    demanded: Looked | None
    overcurrent: Disconnection | None
    residual: Disconnection | None
    collapses_s: float | None
    outcome: Outcome
    allowed_ohm: float | None
    allowed_rcd_ohm: float | None
    way: tuple[Element, ...] = ()
    line: tuple[Core, ...] = ()
    earth: tuple[Core, ...] = ()
    electrode: OwnElectrode | None = None

    @property
    def earthing_ohm(self) -> float | None:
        """R_A: the build's electrode and the protective conductor to it; None if the system has no own
        one.
        """
        return self.electrode.electrode_ohm + abs(self.earth_ohm) if self.electrode else None

    @property
    def time_s(self) -> float | None:
        """The longest time in which the fault is surely disconnected, None if nothing is sure."""
        times = [d.time_s for d in (self.overcurrent, self.residual) if d]
        return min(times, default=self.collapses_s)


def loops(trial: Trial, feeds: tuple[Feed, ...], states: tuple[State, ...]) -> tuple[LoopResult, ...]:
    """Return the faults at every outlet and fixed consumer, once for each source and site that feeds it."""
    found: dict[tuple[str, str, str], LoopResult] = {}
    # an inverter charger feeds both sides, each within a limit of its own
    limits = {feed.source: feed.limit_a for feed in feeds if not feed.tree.root.endswith(".plus")}
    for state in states:
        for source in state.sources:
            for outlet in state.feeding[source]:
                for result in _at(trial, state, source, outlet, limits.get(source, float("inf"))):
                    found.setdefault((outlet, source, result.site), result)
    return tuple(found.values())


def _at(trial: Trial, state: State, source: str, outlet: str, limit_a: float) -> Iterator[LoopResult]:
    network = state.network
    ports = input_terminals(network.items[outlet])
    ends = state.ends(source, ports[0]) if ports else None
    if ends is None or ports is None or network.items[outlet].kind == "inverter charger":
        return
    out, back = trial.tree_in(state, ends[0]), trial.tree_in(state, ends[1])
    if ports[0] not in out.came:
        return
    way = out.way(ports[0])
    line = tuple(e for e in way if isinstance(e, Core))
    neutral = tuple(e for e in back.way(ports[1]) if isinstance(e, Core)) if ports[1] in back.came else line
    tie, metal = return_terminal(state, source), f"{outlet}.PE"
    earth = protective_way(state, metal, tie) if tie and metal in network.items[outlet].terminals else None
    own = own_electrode(state, source, metal)
    for site, supply in loop_supplies(network.items[source]):
        serves = own if supply.system == "TT" and not site else None
        back_way = serves.way if serves else earth
        yield _result(
            trial, state, (source, outlet, site), supply, limit_a, way, line, neutral, back_way, serves
        )


def _result(
    trial: Trial,
    state: State,
    names: tuple[str, str, str],
    supply: LoopSupply,
    limit_a: float,
    way: tuple[Element, ...],
    line: tuple[Core, ...],
    neutral: tuple[Core, ...],
    earth: tuple[Core, ...] | None,
    electrode: OwnElectrode | None,
) -> LoopResult:
    source, outlet, site = names
    voltage = ac_voltage_v(state.network, source)
    hot_line = sum((trial.impedance(core, True) for core in line), 0j)
    hot_earth = sum((trial.impedance(core, True, core.size) for core in earth or ()), 0j)
    outside = supply.loop_max_ohm
    if electrode:
        outside = max(outside or 0.0, electrode.electrode_ohm + electrode.neutral_ohm)
    loop = abs(outside + hot_line + hot_earth) if outside is not None else None
    limited = supply.system == "limited"
    generator = limited and limit_a == float("inf")
    least = None if loop is None else C_MIN * voltage / loop
    if limited and not generator:
        least = limit_a
    demanded = demanded_time(supply.system, voltage)
    devices = tuple(overcurrent_releases(trial, way)) + site_release(source, supply)
    quickest = min((d for d in devices), key=lambda d: d.needed_a, default=None)
    overcurrent = quickest if quickest and least and not limited and least >= quickest.needed_a else None
    residuals = [
        *residual_releases(trial, way, outlet, least),
        *([supply.upstream] if supply.upstream else []),
    ]
    sensitive = min(residuals, key=lambda d: (d.time_s, d.needed_a), default=None)
    enough = earth is not None and (least is None or sensitive is None or least >= sensitive.needed_a)
    known = least is not None or limited
    residual = sensitive if sensitive and enough and known else None
    collapses = collapses_s(state.network.items[source])
    conductors = abs(hot_line + hot_earth)
    return LoopResult(
        outlet,
        source,
        state.id,
        site,
        supply.system,
        loop,
        outside or 0.0,
        hot_line,
        hot_earth,
        voltage,
        least,
        _greatest(trial, voltage, supply, limit_a, line + neutral),
        demanded,
        overcurrent,
        residual,
        collapses,
        _outcome(earth, supply, loop, demanded, overcurrent, residual, collapses),
        C_MIN * voltage / quickest.needed_a - conductors if quickest and not limited else None,
        TOUCH_LIMIT_V / sensitive.residual_a if sensitive and not limited else None,
        way,
        line,
        earth or (),
        electrode,
    )


def _outcome(
    earth: tuple[Core, ...] | None,
    supply: LoopSupply,
    loop: float | None,
    demanded: Looked | None,
    overcurrent: Disconnection | None,
    residual: Disconnection | None,
    collapses: float | None,
) -> Outcome:
    limit = demanded.value if demanded else float("inf")
    if earth is None:
        return "no path"
    if supply.system != "TT" and overcurrent and overcurrent.time_s <= limit:
        return "overcurrent"
    if residual and residual.time_s <= limit:
        return "residual"
    if supply.system == "limited":
        return "collapses" if collapses is not None and collapses <= limit else "not shown"
    return "not known" if loop is None else "too slow"


def _greatest(
    trial: Trial, voltage_v: float, supply: LoopSupply, limit_a: float, cores: tuple[Core, ...]
) -> float | None:
    """Return the greatest short-circuit current at an outlet: strongest source, both conductors cold."""
    cold = 0.0
    for core in cores:
        cable = trial.network.cables[core.cable]
        conductor_class = trial.network.description.cables[cable.id].conductor_class
        cold += core_resistance_20c(cable, trial.sizes[cable.id], conductor_class, "least").value
    if supply.fault_max_a:
        return voltage_v / (voltage_v / supply.fault_max_a + cold)
    return limit_a if limit_a != float("inf") and supply.system == "limited" else None
