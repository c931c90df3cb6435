"""Sizing: every cable, device and way of a build, checked in every operating state."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from asfitted.description.values import Size
from asfitted.network.model import Cable, Network
from asfitted.network.states import State
from asfitted.studies.ac_devices import ac_device_findings
from asfitted.studies.adiabatic import adiabatic
from asfitted.studies.alarms import alarm_findings
from asfitted.studies.auto_size import fitting_size
from asfitted.studies.cable_checks import Load, Margins, design_current, margins, protections, worst
from asfitted.studies.cable_findings import cable_findings
from asfitted.studies.cable_workings import workings
from asfitted.studies.case_conductors import case_conductors, unfused_cases
from asfitted.studies.chains import Chain, chains
from asfitted.studies.claims import Claim, claims
from asfitted.studies.dc_checks import dc_findings, solar
from asfitted.studies.device_checks import DeviceResult, devices, switch_voltages
from asfitted.studies.device_faults import DeviceFault, device_faults
from asfitted.studies.device_temperature import warmed
from asfitted.studies.drop import conductors_in_series, drop_v
from asfitted.studies.drops import DropResult, drop_finding, drop_working, drops
from asfitted.studies.earthing_checks import earthing
from asfitted.studies.equipment_checks import equipment_findings
from asfitted.studies.loop_findings import loop_findings, loop_workings, unknown_loops
from asfitted.studies.loops import LoopResult, loops
from asfitted.studies.open_neutral import open_neutral
from asfitted.studies.overvoltage import overvoltage_findings
from asfitted.studies.places import place_findings
from asfitted.studies.protection import Feed, Manner
from asfitted.studies.rcd_series import RcdPair, rcd_pairs
from asfitted.studies.results import Assumption, Finding, Grade, Working
from asfitted.studies.settled import settle
from asfitted.studies.short_circuit import short_circuits
from asfitted.studies.site_leads import site_leads
from asfitted.studies.sizing_assumptions import defaults_taken, merged
from asfitted.studies.split_phase import split_phase_findings
from asfitted.studies.strings import string_shares
from asfitted.studies.surge import surges
from asfitted.studies.trial import Trial
from asfitted.studies.tt_findings import tt_notes
from asfitted.studies.vapours import vapour_findings
from asfitted.tables.rules import rule_set
from asfitted.tables.rules.rule_set import RuleSet


@dataclass(frozen=True)
class CableResult:
    """One cable: what it carries, what it can carry, what protects it, what it drops and which check leaves
    least.

    `device` is the device that limits its current for long, or that nearest before it; None where neither is
    there. `state` is the operating state of the design current; `size_by_current` the standard size that
    its current alone would need.
    """

    id: str
    from_: str
    to: str
    size: Size
    automatic: bool
    length_m: float
    design_current_a: float
    capacity_a: float
    device: str | None
    device_rating_a: float | None
    protection: Manner | None
    voltage_drop_v: float
    voltage_drop_percent: float
    governed_by: str
    size_by_current: str
    state: str | None


@dataclass(frozen=True)
class Sizing:
    """All results of the study; `sizes` holds the given and the chosen sizes by cable id, `loops` the earth
    faults at every outlet, `rcd_pairs` the residual current devices that lie in series, `claims` what
    safety leans on and its proof, `chains` the overcurrent devices in series.
    """

    cables: dict[str, CableResult]
    devices: dict[str, DeviceResult]
    drops: tuple[DropResult, ...]
    sizes: dict[str, Size]
    workings: tuple[Working, ...]
    findings: tuple[Finding, ...]
    assumptions: tuple[Assumption, ...]
    loops: tuple[LoopResult, ...] = ()
    rcd_pairs: tuple[RcdPair, ...] = ()
    claims: tuple[Claim, ...] = ()
    device_faults: tuple[DeviceFault, ...] = ()
    chains: tuple[Chain, ...] = ()


def size(network: Network, states: Iterable[State], rules: RuleSet | None = None) -> Sizing:
    """Return the sizing of a network in its operating states.

    `rules` is the rule set to compute by; that of the description if it is not given.
    """
    rules = rules or rule_set(network.description.build.rules)
    states = tuple(states)
    settled = settle(network, states, rules)
    trial, feeding, notes = settled.trial, settled.feeding, settled.notes
    ways = drops(trial)
    shares = _drop_shares(ways)
    results: dict[str, CableResult] = {}
    found: list[Finding] = []
    worked: list[Working] = list(notes.workings.values())
    assumed: list[Assumption] = []
    for cable in trial.loaded:
        load = design_current(trial, cable)
        protected = protections(trial, cable, feeding, trial.able)
        governs = settled.governs.get(cable.id, "")
        results[cable.id] = _result(trial, feeding, cable, load, shares.get(cable.id, 0.0), governs)
        worked += workings(trial, cable, load, worst(protected))
        found += cable_findings(trial, cable, load, protected)
        for cleared, burnt in short_circuits(trial, cable, protected, feeding, notes):
            worked += cleared
            found += burnt
        assumed += trial.capacities[cable.id].assumptions
        if governs == "no size":
            fields: dict[str, object] = {"cable": cable.id, "largest": trial.sizes[cable.id].designation}
            found.append(Finding("no-size-fits", Grade.POTENTIAL, (cable.id,), cable.mark, fields=fields))
    for way in ways:
        worked.append(drop_working(way))
        found += drop_finding(trial, way)
    of_devices: dict[str, DeviceResult] = {}
    for device, device_workings, device_findings in devices(trial, feeding, notes):
        of_devices[device.id] = device
        worked += device_workings
        found += device_findings
        for note in warmed(trial, device):
            worked += [note] if isinstance(note, Working) else []
            found += [note] if isinstance(note, Finding) else []
    for earth_working, earth_findings in earthing(trial):
        worked.append(earth_working)
        found += earth_findings
    found += equipment_findings(trial, feeding)
    found += switch_voltages(trial, feeding, notes)
    found += place_findings(trial)
    found += vapour_findings(trial)
    found += alarm_findings(trial, feeding)
    found += overvoltage_findings(trial)
    worked += open_neutral(trial)
    faults = loops(trial, feeding, states)
    parts = (
        *_of_faults(trial, faults),
        *_of_direct_current(trial, feeding, states),
        *site_leads(trial, feeding),
        *split_phase_findings(trial, feeding, states),
    )
    for part in parts:
        if isinstance(part, Working):
            worked.append(part)
        elif isinstance(part, Finding):
            found.append(part)
        else:
            assumed.append(part)
    assumed += [*notes.assumptions.values(), *defaults_taken(network)]
    facing = device_faults(trial, feeding, notes, faults)
    return Sizing(
        results,
        of_devices,
        ways,
        dict(trial.sizes),
        tuple({w.id: w for w in worked}.values()),
        tuple(_once(found)),
        merged(assumed),
        faults,
        rcd_pairs(trial, faults),
        claims(network),
        facing,
        chains(trial, faults, facing),
    )


def _of_faults(trial: Trial, faults: tuple[LoopResult, ...]) -> Iterator[Working | Finding | Assumption]:
    """Yield what the earth faults and short-circuits at outlets show, and the devices that face them."""
    yield from ac_device_findings(trial)
    for loop in faults:
        yield from loop_workings(trial, loop)
        yield from loop_findings(trial, loop)
        yield from tt_notes(trial, loop)
    yield from unknown_loops(trial, faults)
    for working, checked in adiabatic(trial, faults):
        yield working
        yield from checked


def _of_direct_current(
    trial: Trial, feeding: tuple[Feed, ...], states: tuple[State, ...]
) -> Iterator[Working | Finding]:
    """Yield what concerns batteries, solar arrays, surges and case conductors."""
    yield from dc_findings(trial, states)
    for working, checked in (
        *solar(trial, states),
        *string_shares(trial),
        *case_conductors(trial, feeding, states),
    ):
        yield working
        yield from checked
    yield from unfused_cases(trial, feeding, states)
    for workings_, checked in surges(trial):
        yield from workings_
        yield from checked


def _result(
    trial: Trial, feeding: tuple[Feed, ...], cable: Cable, load: Load, drop_share: float, governs: str
) -> CableResult:
    protected = protections(trial, cable, feeding, trial.able)
    capacity = trial.capacity_a(cable.id)
    if not governs:
        used = margins(trial, cable, trial.sizes[cable.id], load, protected).ratio
        governs = Margins({**used, "voltage drop": drop_share}).tightest
    held = worst(protected)
    device = held.device if held else None
    volts, percent = 0.0, 0.0
    scenario = trial.scenarios[load.scenario] if load.scenario is not None else None
    if scenario:
        impedance = trial.impedance(cable.live[0], scenario.mode == "supply")
        volts = conductors_in_series(cable) * abs(drop_v(load.current_a, impedance))
        percent = 100 * volts / scenario.voltage_v
    first = cable.live[0]
    return CableResult(
        cable.id,
        trial.network.owner[first.a],
        trial.network.owner[first.b],
        trial.sizes[cable.id],
        cable.size is None,
        cable.length_m,
        abs(load.current_a),
        capacity,
        device.id if device else None,
        device.rating_a if device else None,
        held.manner if held else None,
        volts,
        percent,
        governs,
        fitting_size(trial, cable, abs(load.current_a)),
        scenario.state.id if scenario else None,
    )


def _drop_shares(ways: tuple[DropResult, ...]) -> dict[str, float]:
    """Return cable id -> the largest share of its limit that the drop of a way over the cable uses."""
    shares: dict[str, float] = {}
    for way in ways:
        for cable, _ in way.cables:
            shares[cable] = max(shares.get(cable, 0.0), way.drop_percent / way.limit.value)
    return shares


def _once(found: Iterable[Finding]) -> Iterator[Finding]:
    """Yield each finding once: the same code at the same place found in several states is one."""
    merged_findings: dict[tuple[str, tuple[str, ...]], Finding] = {}
    for finding in found:
        key = (finding.code, finding.where)
        known = merged_findings.get(key)
        states = tuple(dict.fromkeys((*(known.states if known else ()), *finding.states)))
        merged_findings[key] = replace(known or finding, states=states)
    yield from merged_findings.values()
