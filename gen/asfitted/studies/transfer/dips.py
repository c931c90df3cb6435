"""Light flickers when a motor starts: the dip that one appliance causes for the others on a long lead."""

from dataclasses import dataclass

from asfitted.network.build import input_terminals
from asfitted.network.flow import Injection, solve
from asfitted.network.sites import Site, described_sites
from asfitted.network.supply_parts import live_loop_ohm
from asfitted.studies.scenario import Scenario
from asfitted.studies.transfer.changeovers import Behind
from asfitted.studies.transfer.starts import MotorStart, motor_starting
from asfitted.studies.trial import Trial
from asfitted.tables.looked import Looked
from asfitted.tables.transfer import voltage_change_percent


@dataclass(frozen=True)
class Dip:
    """The start of a motor on a supply from outside, as seen at the outlet where it is worst.

    `change_a` is what the start adds, `dip_v` what it takes from the others, `limit` in per cent of the supply voltage.
    """

    start: MotorStart
    site: Site
    state: str
    seen_at: str
    change_a: float
    dip_v: float
    dip_percent: float
    limit: Looked

    @property
    def holds(self) -> bool:
        """Whether those beside it are not disturbed."""
        return self.dip_percent <= self.limit.value


def dips(trial: Trial) -> tuple[Dip, ...]:
    """Return the worst dip of every motor on every supply from outside, over all places."""
    worst: dict[tuple[str, str, str], Dip] = {}
    for site in described_sites(trial.network):
        for scenario in trial.scenarios:
            if scenario.source != site.supply or scenario.mode != "supply" or site.reversed_:
                continue
            for dip in _of(trial, scenario, site):
                key = (site.supply, dip.start.behind.outlet, dip.start.behind.name)
                if key not in worst or dip.dip_percent > worst[key].dip_percent:
                    worst[key] = dip
    return tuple(worst.values())


def _of(trial: Trial, scenario: Scenario, site: Site) -> list[Dip]:
    network, voltage = trial.network, float(site.spec.voltage_v)
    outlets = [i for i in scenario.injections if input_terminals(network.items[i.item])]
    found = []
    for outlet in outlets:
        loads = getattr(network.items[outlet.item].spec, "loads", {})
        for name, load in loads.items():
            start = motor_starting(Behind(outlet.item, name, load), voltage)
            if start is None:
                continue
            seen = [o.item for o in outlets if o.item != outlet.item or len(loads) > 1]
            at, volts = _dip_v(trial, scenario, site, outlet, start, seen)
            if at:
                # the middle of the three limits holds for what somebody switches on by hand
                limit = voltage_change_percent("by hand")
                percent = 100 * volts / voltage
                state = scenario.state.id
                found.append(Dip(start, site, state, at, abs(start.more_a), volts, percent, limit))
    return found


def _dip_v(
    trial: Trial, scenario: Scenario, site: Site, outlet: Injection, start: MotorStart, seen: list[str]
) -> tuple[str, float]:
    extra = Injection("#start", outlet.out, outlet.back, start.more_a)
    probes = [Injection(i.item, i.out, i.back, 0j) for i in scenario.injections if i.item in seen]
    flow = solve(
        scenario.state,
        scenario.terminals,
        (extra, *probes),
        lambda core: trial.impedance(core, ac=True),
    )
    ahead = (live_loop_ohm(site.spec, site.earthed) * start.more_a).real
    volts = {
        probe.item: flow.drop_v[probe.item].real + ahead for probe in probes if probe.item in flow.drop_v
    }
    at = max(volts, key=lambda item: volts[item], default="")
    return at, volts.get(at, 0.0)
