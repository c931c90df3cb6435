"""What an unknown supply may turn out to be, and whether this build may be plugged into it."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from asfitted.description.kinds import Breaker
from asfitted.studies.demand_ac import ac_voltage_v
from asfitted.studies.faults.envelope import SiteKind, SiteVerdict
from asfitted.studies.procedures.facts import Facts, Plug
from asfitted.studies.study import Study

#: `sound` and `ask`: the reading alone decides nothing, the earthing does
Use = Literal["safe", "with device", "refused", "sound", "ask"]
_USES: dict[str, Use] = {
    "safe": "safe",
    "only with the site's device": "with device",
    "do not plug in": "refused",
}
EARTHINGS: tuple[SiteKind, ...] = ("TN-S", "TT", "TN-C-S", "IT")
#: what a tester shows -> the kind of site that it means
READINGS: dict[str, SiteKind] = {
    "sound": "TN-S",
    "reversed": "reversed polarity",
    "no earth": "no protective conductor",
    "line to line": "line to line",
}
#: below it two lines of a split supply show a voltage that no outlet of the build's own has
TWO_LINES_V = 200.0


@dataclass(frozen=True)
class SiteRow:
    """One thing that a supply may be: its earthing or what a tester shows. `because` is a key of the words;
    `hazard` the code of a finding of the fault study.
    """

    kind: str
    use: Use
    because: str
    hazard: str = ""


@dataclass(frozen=True)
class SiteCheck:
    """The tables of the check at one inlet: what one can ask, and what one can measure."""

    supply: str
    earthings: tuple[SiteRow, ...]
    readings: tuple[SiteRow, ...]


def site_checks(found: Study) -> tuple[SiteCheck, ...]:
    """Return the verdicts of the site envelope for each inlet, in the form in which a person asks and measures."""
    facts = Facts(found)
    return tuple(_check(facts, plug) for plug in facts.plugs)


def _check(facts: Facts, plug: Plug) -> SiteCheck:
    verdicts = {v.kind: v for v in facts.study.envelope if v.supply == plug.supply.id}
    earthings = tuple(_by_earthing(verdicts[kind]) for kind in EARTHINGS if kind in verdicts)
    return SiteCheck(plug.supply.id, earthings, tuple(_readings(facts, plug, verdicts)))


def _by_earthing(verdict: SiteVerdict) -> SiteRow:
    use = _USES[verdict.verdict]
    if use == "with device":
        return SiteRow(verdict.kind, use, "only device")
    if use == "refused":
        lost = verdict.kind == "TN-C-S" and "pen-lost" in verdict.hazards
        hazard = "" if lost else next(iter(verdict.hazards), "")
        return SiteRow(verdict.kind, use, "TN-C-S" if lost else "hazard", hazard)
    return SiteRow(verdict.kind, use, "none")


def _readings(facts: Facts, plug: Plug, verdicts: dict[SiteKind, SiteVerdict]) -> Iterator[SiteRow]:
    single = opens_one_pole(facts, plug)
    volts = ac_voltage_v(facts.network, plug.supply.id)
    for reading, kind in READINGS.items():
        if kind not in verdicts or (reading == "line to line" and volts < TWO_LINES_V):
            continue
        row = _by_earthing(verdicts[kind])
        if reading == "no earth":
            # Whatever the devices would do: without an earth nothing holds that was agreed with the site.
            isolated = "IT" in verdicts and _by_earthing(verdicts["IT"]).use != "refused"
            yield SiteRow(reading, "refused", "no earth or isolated" if isolated else "no earth")
        elif reading == "sound":
            # TN-S, TN-C-S and TT read alike.
            yield SiteRow(reading, "sound", "none")
        elif single:
            yield SiteRow(reading, "refused", "single pole")
        elif row.use == "safe":
            yield SiteRow(reading, "ask", "none")
        else:
            yield SiteRow(reading, row.use, row.because, row.hazard)


def opens_one_pole(facts: Facts, plug: Plug) -> bool:
    """Tell whether a protective device behind an inlet opens the line and leaves the neutral joined."""
    devices = {
        id_
        for state in facts.settled
        if state.condition(plug.supply.id) == "live"
        for consumer in state.feeding.get(plug.supply.id, ())
        for id_ in facts.way(state, plug.supply.id, consumer)
    }
    specs = (facts.network.items[id_].spec for id_ in devices)
    return any(
        isinstance(spec, Breaker) and "N" not in spec.contacts and "L2" not in spec.contacts for spec in specs
    )
