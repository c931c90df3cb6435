"""Findings of the fault study: only where a hazard stands, so that a sound build comes out clean.

An inverter that collapses and latches within the time is no finding, nor is a fault that needs an earlier
one and is ended by the first touch: that is what a 30 mA device is for. One finding for each cause, not for
each place.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from asfitted import words
from asfitted.description.kinds import AcSupply, BatteryCharger, Breaker, Busbar, Inline, Inverter
from asfitted.description.marks import START, Mark
from asfitted.network.build import input_terminals, output_terminals
from asfitted.network.model import Network
from asfitted.network.sites import described_sites
from asfitted.studies.bonding import protective_potentials
from asfitted.studies.faults.bearing import is_tail
from asfitted.studies.faults.remedies import cause, longest_touch, touches_pins
from asfitted.studies.faults.result import FaultResult
from asfitted.studies.faults.tails import ahead_of_rcd, ahead_of_transformer
from asfitted.studies.faults.verdict import LIVE_KINDS
from asfitted.studies.results import Finding, Grade
from asfitted.tables.rules import rule_set

#: a fault of the insulation, which any build must bear without harm; the others are failures of equipment
INSULATION = ("live to case", "live to structure", "live to neutral", "live to the case of another source",
              "plus to minus", "plus to structure", "plus to case")  # fmt: skip
#: what a joint of battery minus and case inside a converter decides
MINUS = ("minus broken", "minus to case")
#: more than any load leaves in a residual current device: line and earth are joined
SHORT_A = 63.0
#: verdicts in which metal stays live until somebody touches it, or for ever
SHOCKS = ("only when touched", "stays")
POTENTIAL = Grade.POTENTIAL


@dataclass(frozen=True)
class Hazard:
    """One hazard in one result: its code and grade, and what it is grouped by.

    `check` names the clause of the rule set that the build follows.
    """

    code: str
    grade: Grade
    check: str
    key: tuple[str, ...]
    where: tuple[str, ...]
    result: FaultResult


def fault_findings(network: Network, results: Iterable[FaultResult]) -> tuple[Finding, ...]:
    """Return the findings of all results, those of one cause joined with all their places and states."""
    groups: dict[tuple[str, ...], list[Hazard]] = {}
    for result in results:
        for hazard in hazards(network, result):
            groups.setdefault((hazard.code, *hazard.key), []).append(hazard)
    return tuple(_finding(network, group) for group in groups.values())


def hazards(network: Network, r: FaultResult) -> Iterator[Hazard]:
    """Yield the hazards that stand in one result."""
    own = tuple(id_ for id_ in r.where if id_ in network.items or id_ in network.cables)
    if r.kind == "none":
        yield from _in_service(network, r)
        return
    if not r.settled:
        yield Hazard("fault-unsettled", Grade.INVESTIGATION, "", (r.kind,), own, r)
    if r.restarts:
        stopped = [
            o.unit for o in r.opened if o.unit in network.items and output_terminals(network.items[o.unit])
        ]
        limits = {id_: getattr(network.items[id_].spec, "output_limit", None) for id_ in stopped}
        unknown = [id_ for id_, limit in limits.items() if limit is None]
        sources = tuple(id_ for id_, limit in limits.items() if limit and limit.then == "restarts")
        if unknown:
            yield Hazard(
                "output-limit-unknown",
                Grade.INVESTIGATION,
                "disconnection time",
                tuple(unknown),
                tuple(unknown),
                r,
            )
        elif r.verdict == "in time":
            yield Hazard("restarts-on-fault", POTENTIAL, "disconnection time", sources, sources, r)
    for core in () if not r.state and _no_device(r) else r.destroyed:
        cable = network.cables[network.cores[core].cable]
        protective = network.cores[core].conductor == "PE"
        if not protective and is_tail(cable, r.where):
            continue
        check = "protective conductor" if protective else "short-circuit duration"
        yield from _by_time(
            network, Hazard("conductor-destroyed", POTENTIAL, check, (cable.id,), (cable.id,), r)
        )
    yield from _not_cleared(network, r, own)


def _in_service(network: Network, r: FaultResult) -> Iterator[Hazard]:
    """Yield what is wrong with nothing broken: devices that open, metal that is live."""
    units = tuple(dict.fromkeys(o.unit for o in r.opened if not o.moves))
    # with a second source driven to its limit, the current between the two is seen as well
    alone = not any(output_terminals(network.items[unit]) for unit in units if unit in network.items)
    if units and alone and max(r.residual_a.values(), default=0.0) > SHORT_A:
        yield Hazard("short-in-service", POTENTIAL, "unwanted tripping", units, units, r)
    elif units:
        yield Hazard("trips-in-service", POTENTIAL, "unwanted tripping", units, units, r)
    if r.verdict in ("stays", "only when touched"):
        parts = tuple(dict.fromkeys(t.from_ for t in r.touch if t.time_s > 0))
        yield Hazard("live-in-service", Grade.DANGER, "live metal", (), parts, r)


def _not_cleared(network: Network, r: FaultResult, own: tuple[str, ...]) -> Iterator[Hazard]:
    if r.kind == "PEN broken":
        if r.verdict == "stays" and network.description.build.setting in ("road vehicle", "trailer", "boat"):
            if _at_inlets_only(network, r):
                yield Hazard("pen-lost-at-inlet", Grade.IMPROVEMENT, "lost PEN", own, own, r)
            else:
                yield Hazard("pen-lost", POTENTIAL, "lost PEN", own, own, r)
        return
    first = (own[0],) if own else ()
    if r.verdict == "stays" and not r.second and _insulation_not_stated(network, r):
        yield Hazard("insulation-ahead-of-rcd", Grade.INVESTIGATION, "double insulation", (r.at,), first, r)
    elif r.verdict in SHOCKS and r.kind == "live to structure" and ahead_of_transformer(network, r.at):
        yield Hazard(
            "insulation-ahead-of-transformer", Grade.INVESTIGATION, "double insulation", (), first, r
        )
    elif r.verdict == "stays" and r.second:
        # no rule asks that two faults in a row be borne, where the first shows itself to nobody
        yield Hazard("second-fault-not-cleared", Grade.IMPROVEMENT, "disconnection time", (r.kind,), first, r)
    elif r.verdict == "stays":
        yield Hazard("fault-not-cleared", POTENTIAL, "disconnection time", (r.kind,), first, r)
    elif r.verdict == "only when touched" and r.kind in INSULATION:
        yield Hazard("fault-until-touched", POTENTIAL, "disconnection time", (r.kind,), first, r)
    elif r.verdict == "late" and not r.second:
        yield from _by_time(
            network, Hazard("fault-late", POTENTIAL, "disconnection time", (r.kind,), first, r)
        )
    elif r.verdict == "current stays" and r.kind not in LIVE_KINDS:
        yield from _overloaded(network, r)
    elif r.verdict == "current stays" and not r.second and (r.state or not _no_device(r)):
        if "reversed" in r.site:
            return  # the conductor named live is the site's neutral there: its fault carries load current only
        yield Hazard("fault-current-stays", POTENTIAL, "fault current", (r.kind,), first, r)


def _overloaded(network: Network, r: FaultResult) -> Iterator[Hazard]:
    """Yield what carries more than it bears after a conductor has broken or a bond has stuck."""
    cables = tuple(dict.fromkeys(network.cores[heavy.core].cable for heavy in r.overloaded))
    if r.second:
        return
    spec = network.items[r.where[0]].spec if r.where and r.where[0] in network.items else None
    if isinstance(spec, Inverter | BatteryCharger) and r.kind in MINUS and spec.minus_to_case is None:
        yield Hazard("minus-to-case-not-stated", Grade.INVESTIGATION, "", (r.where[0],), cables, r)
    else:
        yield Hazard("conductor-overloaded", POTENTIAL, "fault current", (r.kind, *cables), cables, r)


def _at_inlets_only(network: Network, r: FaultResult) -> bool:
    """Tell whether only inlets follow the earth ashore, which ends at the screen of an isolating transformer."""
    inlets = {item.id for item in network.of_kind("supply inlet")}
    if not all({touch.from_, touch.to} & inlets for touch in r.touch if touch.time_s > 0):
        return False
    earths = protective_potentials(network)
    ashore = {earths.find(f"{inlet}.pins.PE") for inlet in inlets}
    metal = [item.id for item in network.of_kind("structure")]
    metal += [f"{item.id}.PE" for item in network.items.values() if input_terminals(item)]
    return not any(earths.find(terminal) in ashore for terminal in metal)


def _insulation_not_stated(network: Network, r: FaultResult) -> bool:
    """Tell whether a fault to metal lies ahead of the first device of a fixed TT supply, at equipment of which
    nobody says how it is insulated.
    """
    item = network.items.get(r.where[0]) if r.where else None
    open_ = item is not None and isinstance(item.spec, Inline | Busbar) and item.spec.safety_class is None
    return open_ and r.kind in ("live to case", "live to structure") and ahead_of_rcd(network, r.at)


def _by_time(network: Network, hazard: Hazard) -> Iterator[Hazard]:
    """Yield a hazard that hangs on a time; a breaker whose curve nobody gave promises next to nothing."""
    unknown = tuple(o.unit for o in hazard.result.opened if _curve(network, o.unit) is None)
    if not unknown:
        yield hazard
    else:
        yield Hazard(
            "breaker-curve-unknown", Grade.INVESTIGATION, "disconnection time", (), unknown, hazard.result
        )


def _curve(network: Network, unit: str) -> str | None:
    """Return the curve of a breaker, also of the one that protects the outlet of a supply; None if unknown."""
    if unit in network.items:
        spec = network.items[unit].spec
        return spec.curve if isinstance(spec, Breaker) else ""
    supply = network.items.get(unit.removesuffix(" upstream"))
    return supply.spec.upstream.curve if supply is not None and isinstance(supply.spec, AcSupply) else ""


def _no_device(r: FaultResult) -> bool:
    """Tell whether a fault lies ahead of the first device: at the terminals of a battery that is for the
    sizing.
    """
    return any(reason.code == "no-device" for reason in r.chain)


def _finding(network: Network, group: Sequence[Hazard]) -> Finding:
    worst = max(group, key=lambda h: (h.result.verdict == "stays", _felt_ma(h.result), h.result.current_a))
    where = tuple(dict.fromkeys(id_ for hazard in group for id_ in hazard.where))
    states = tuple(dict.fromkeys(h.result.state for h in group if h.result.state))
    places = tuple(dict.fromkeys(h.result.site for h in group))
    return Finding(
        worst.code,
        worst.grade,
        where,
        _mark(network, where),
        states=states,
        fields=_fields(network, worst.result, where, places),
        clause=rule_set(network.description.build.rules).clause(worst.check) if worst.check else "",
    )


def _felt_ma(r: FaultResult) -> float:
    return max((touch.current_ma for touch in r.touch), default=0.0)


def _mark(network: Network, where: Sequence[str]) -> Mark:
    marks = [network.items[i].mark if i in network.items else network.cables[i].mark
             for i in where if i in network.items or i in network.cables]  # fmt: skip
    return marks[0] if marks else START


def _touched(network: Network, name: str) -> str:
    """Return the name of what is touched: a case in quotation marks, a pin of an inlet by its conductor."""
    item, _, pin = name.partition(".pins.")
    if pin:
        return words.text("faults", "touched.neutral pin" if pin == "N" else "touched.line pin", inlet=item)
    return words.text("faults", "touched.case", item=name) if name in network.items else name


def _places(network: Network, places: Sequence[str]) -> str:
    """Return where a build stands plugged in, in words; all places that are described as one."""
    described = {site.id for site in described_sites(network)}
    if len(described) > 1 and described == set(places):
        return words.text("faults", "places.all")
    return ", ".join(place or words.text("faults", "places.as described") for place in places)


def _fields(
    network: Network, r: FaultResult, where: Sequence[str], places: Sequence[str]
) -> dict[str, object]:
    """Return what fills the sentences: the worst of the results that were joined."""
    touch = longest_touch(r)
    decides = cause(network, r)
    units = list(dict.fromkeys(o.unit for o in r.opened))
    return {
        "fault": words.text("faults", f"kinds.{r.kind}"),
        "at": r.at,
        "things": ", ".join(where),
        "places": _places(network, places),
        "lasts": words.text("faults", "lasts.to and fro" if r.hunts else "lasts.for ever"),
        "pins": words.text("faults", "live pins") if touches_pins(r) else "",
        "right": words.text("faults", f"remedies.{decides}", sources=", ".join(r.sources)),
        "by": words.text("faults", f"whys.{decides}") if r.kind == "none" else "",
        "current_a": f"{r.current_a:.3g}",
        "voltage_v": f"{touch.across_v:.0f}" if touch else "0",
        "body_ma": f"{touch.current_ma:.0f}" if touch else "0",
        "from": _touched(network, touch.from_) if touch else "",
        "to": _touched(network, touch.to) if touch else "",
        "residual_a": f"{max(r.residual_a.values(), default=0.0):.0f}",
        "zone": touch.zone if touch else "AC-1",
        "time_s": f"{r.touch_time_s:.2g}",
        "limit_s": f"{r.limit_s:g}" if r.limit_s else "–",
        "units": ", ".join(units),
        "cores": ", ".join(r.destroyed),
        "overloaded": ", ".join(
            words.text(
                "faults",
                "overload",
                core=o.core,
                current_a=f"{o.current_a:.3g}",
                bears_a=f"{o.capacity_a:.3g}",
            )
            for o in r.overloaded
        ),
        "unit": r.where[0] if r.where else "",
        "destroyed_a": f"{r.destroyed_a:.3g}",
        "chain": sentences(r),
    }


def sentences(r: FaultResult) -> str:
    """Return the chain of reasons of a result in words."""
    return " ".join(words.text("faults", f"reasons.{reason.code}", **reason.fields) for reason in r.chain)
