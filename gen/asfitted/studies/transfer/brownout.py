"""A changeover at the end of a long lead: does the load that it switches let it go, and does it come back for more?

The load sags the voltage at its input; below its drop-out voltage it leaves the supply; without the load the voltage
recovers above its pick-up voltage; it comes back, and the load sags it again.
"""

from dataclasses import dataclass, replace
from typing import Literal

from asfitted.description.kinds import InverterCharger, TransferSwitch
from asfitted.network.flow import Injection, solve
from asfitted.network.sites import Site, described_sites
from asfitted.network.supply_parts import live_loop_ohm
from asfitted.studies.scenario import Scenario
from asfitted.studies.transfer.changeovers import Changeover, inputs, output
from asfitted.studies.transfer.starts import motor_starting
from asfitted.studies.trial import Trial
from asfitted.tables.looked import Looked
from asfitted.tables.transfer import changeover_share

#: holds: never lets go; leaves: lets go and does not come back while the rest runs; chatters: to and fro for as long as
#: the load asks for it
Behaviour = Literal["holds", "leaves", "chatters"]


@dataclass(frozen=True)
class Brownout:
    """A changeover with everything behind it running and its largest motor starting, at one place.

    Voltages at its input in V: `loaded_v` and `free_v` at the supply voltage `supply_v`, the lowest at which it would
    come back (the lowest that the supply may have, if that is higher). `cycle_s` is one round of chatter, None if not
    known.
    """

    switch: str
    site: Site
    state: str
    supply_v: float
    loaded_v: float
    free_v: float
    drops_out: Looked
    picks_up: Looked
    sag_v: float
    ahead_v: float
    delay_s: float | None
    cycle_s: float | None
    behaviour: Behaviour

    @property
    def described(self) -> bool:
        """Whether the description gives the voltages at which it acts."""
        return self.drops_out.source == "" and self.picks_up.source == ""


def brownouts(trial: Trial, found: Changeover) -> tuple[Brownout, ...]:
    """Return the behaviour of a changeover on each supply from outside that feeds its preferred side, at each place."""
    spec = found.item.spec
    assert isinstance(spec, TransferSwitch | InverterCharger)  # noqa: S101  (asked for by kind)
    if not _watches(spec) or not found.loads:
        return ()
    results = []
    for site in described_sites(trial.network):
        if site.supply in found.feeding(found.preferred) and not site.reversed_:
            scenario = _scenario(trial, found, site.supply)
            if scenario is not None:
                results.append(_brownout(trial, found, scenario, site))
    return tuple(results)


def _watches(spec: TransferSwitch | InverterCharger) -> bool:
    """A switch that rests on the side it prefers has no coil there that could let go, unless it is said to watch."""
    if isinstance(spec, InverterCharger) or spec.drops_out_below_v is not None:
        return True
    return spec.rest_position != spec.preferred


def _scenario(trial: Trial, found: Changeover, supply: str) -> Scenario | None:
    return next(
        (
            s
            for s in trial.scenarios
            if s.source == supply
            and s.mode == "supply"
            and s.state.position(found.item.id) == found.preferred
            and s.state.reaches(supply, output(found.item))
            and s.state.live_potentials.same(s.terminals[0], output(found.item))
        ),
        None,
    )


def _brownout(trial: Trial, found: Changeover, scenario: Scenario, site: Site) -> Brownout:
    voltage = float(site.spec.voltage_v)
    limit = min(float(site.spec.rating_a), site.spec.upstream.rating_a)
    share = min(1.0, limit / scenario.total_a) if scenario.total_a else 1.0
    running = tuple(replace(i, current_a=i.current_a * share) for i in scenario.injections)
    behind = {*found.outlets, found.item.id}
    ahead = tuple(i for i in running if i.item not in behind)
    sag = sag_v(trial, scenario, site, (*running, *_largest_start(scenario, found, voltage)), found)
    before = sag_v(trial, scenario, site, ahead, found)
    out, back = _thresholds(found.item.spec, voltage)
    least = changeover_share("supply", "least").value * voltage
    greatest = changeover_share("supply", "greatest").value * voltage
    # the lowest supply voltage at which it comes back: there the load has the least to spare
    supply = max(least, back.value + before)
    behaviour: Behaviour = "holds"
    if supply <= greatest and supply - sag < out.value:
        behaviour = "chatters"
    elif least - sag < out.value:
        behaviour, supply = "leaves", least
    delay = getattr(found.item.spec.picks_up_above, "delay_s", None)  # type: ignore[attr-defined]
    times = [w.judged_s for w in found.ways]
    known = delay is not None and None not in times
    cycle = sum((*(t for t in times if t is not None), delay or 0.0)) if known else None
    return Brownout(
        found.item.id, site, scenario.state.id, supply, supply - sag, supply - before, out, back, sag, before, delay,
        cycle, behaviour,
    )  # fmt: skip


def _largest_start(scenario: Scenario, found: Changeover, voltage_v: float) -> tuple[Injection, ...]:
    starts = [start for load in found.loads if (start := motor_starting(load, voltage_v))]
    worst = max(starts, key=lambda start: abs(start.more_a), default=None)
    if worst is None:
        return ()
    outlet = next((i for i in scenario.injections if i.item == worst.behind.outlet), None)
    return (replace(outlet, item=f"{outlet.item}#start", current_a=worst.more_a),) if outlet else ()


def sag_v(
    trial: Trial, scenario: Scenario, site: Site, loads: tuple[Injection, ...], found: Changeover
) -> float:
    """Return what is lost in V from the neutral point of the site to the input of a changeover."""
    ends = inputs(found.item, found.preferred)
    probe = Injection(f"{found.item.id}#input", *ends, 0j)
    flow = solve(
        scenario.state, scenario.terminals, (*loads, probe), lambda core: trial.impedance(core, ac=True)
    )
    lost = flow.drop_v.get(probe.item, 0j) + live_loop_ohm(site.spec, site.earthed) * sum(
        (i.current_a for i in loads), 0j
    )
    return lost.real


def _thresholds(spec: object, voltage_v: float) -> tuple[Looked, Looked]:
    """Return the voltages at which a changeover lets go and comes back; without a source where they are described."""
    kind: Literal["coil", "inverter charger"] = (
        "inverter charger" if isinstance(spec, InverterCharger) else "coil"
    )

    def usual(quantity: str) -> Looked:
        share = changeover_share(kind, quantity)
        return Looked(share.value * voltage_v, share.source, share.verified, share.note)

    out, back = getattr(spec, "drops_out_below_v", None), getattr(spec, "picks_up_above", None)
    return (
        Looked(float(out), "", "read") if out else usual("drops out at the earliest"),
        Looked(back.voltage_v, "", "read") if back else usual("picks up at the latest"),
    )
