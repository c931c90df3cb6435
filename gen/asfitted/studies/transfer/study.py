"""The transfer study: changeovers each way, takeovers, brown-outs, starts of motors, the order of cut-outs."""

from dataclasses import dataclass

from asfitted.network.model import Network
from asfitted.network.states import State
from asfitted.studies.demand import demand
from asfitted.studies.results import Assumption, Finding, Working
from asfitted.studies.sizing import Sizing
from asfitted.studies.transfer.brownout import Brownout, brownouts
from asfitted.studies.transfer.changeovers import Changeover, changeovers
from asfitted.studies.transfer.chargers import ChargerFate, charger_fates
from asfitted.studies.transfer.cut_outs import CutOuts, cut_outs
from asfitted.studies.transfer.dc_side import InverterStart, inverter_starts
from asfitted.studies.transfer.dips import Dip, dips
from asfitted.studies.transfer.findings import (
    brownout_findings,
    changeover_findings,
    cut_out_findings,
    dip_findings,
    start_findings,
    takeover_findings,
)
from asfitted.studies.transfer.order import TimeLine, time_lines
from asfitted.studies.transfer.ride import Ride, rides
from asfitted.studies.transfer.takeover import Takeover, takeovers
from asfitted.studies.transfer.unattended import (
    Returning,
    returning,
    returning_assumptions,
    returning_findings,
)
from asfitted.studies.transfer.workings import (
    brownout_working,
    dip_working,
    start_workings,
    takeover_working,
)
from asfitted.studies.trial import Trial
from asfitted.tables.rules import rule_set


@dataclass(frozen=True)
class Transfer:
    """One changeover with all that was found out about it."""

    changeover: Changeover
    rides: tuple[Ride, ...]
    takeovers: tuple[Takeover, ...]
    brownouts: tuple[Brownout, ...]
    chargers: tuple[ChargerFate, ...]
    lines: tuple[TimeLine, ...]


@dataclass(frozen=True)
class TransferStudy:
    """All results of the study."""

    transfers: tuple[Transfer, ...]
    starts: tuple[InverterStart, ...]
    dips: tuple[Dip, ...]
    cut_outs: tuple[CutOuts, ...]
    returning: tuple[Returning, ...]
    workings: tuple[Working, ...]
    findings: tuple[Finding, ...]
    assumptions: tuple[Assumption, ...]


def transfer_study(network: Network, states: tuple[State, ...], sizing: Sizing) -> TransferStudy:
    """Return what happens when the supply goes and comes, and when a motor starts, in a sized network."""
    scenarios = tuple(demand(network, states).scenarios)
    trial = Trial(network, rule_set(network.description.build.rules), sizing.sizes, scenarios)
    workings: list[Working] = []
    findings: list[Finding] = []
    transfers = tuple(_transfer(trial, states, found) for found in changeovers(network, states))
    for transfer in transfers:
        findings += changeover_findings(network, transfer.changeover, transfer.rides)
        for takeover in transfer.takeovers:
            workings.append(takeover_working(takeover))
            findings += takeover_findings(network, takeover, workings[-1].id)
        for brownout in transfer.brownouts:
            workings.append(brownout_working(brownout))
            findings += brownout_findings(network, brownout, workings[-1].id)
    starts, seen, order = inverter_starts(trial), dips(trial), cut_outs(trial)
    for start in starts:
        own = tuple(start_workings(start))
        workings += own
        findings += start_findings(network, start, tuple(w.id for w in own))
    for dip in seen:
        workings.append(dip_working(dip))
        findings += dip_findings(network, dip, workings[-1].id)
    for cut_out in order:
        findings += cut_out_findings(network, cut_out)
    back = returning(network, states)
    findings += returning_findings(network, back)
    unique = {
        (f.code, f.where, *(str(f.fields.get(k, "")) for k in ("side", "load"))): f
        for f in reversed(findings)
    }
    return TransferStudy(
        transfers,
        starts,
        seen,
        order,
        back,
        tuple({w.id: w for w in workings}.values()),
        tuple(reversed(unique.values())),
        returning_assumptions(back),
    )


def _transfer(trial: Trial, states: tuple[State, ...], found: Changeover) -> Transfer:
    own = rides(found)
    return Transfer(
        found,
        own,
        takeovers(trial, found),
        brownouts(trial, found),
        charger_fates(trial.network, states, found),
        time_lines(trial.network, found, own),
    )
