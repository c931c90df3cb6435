"""The supply is lost while things run: what the source that takes over does with them, and in which order the owner
brings them back.
"""

from dataclasses import dataclass

from asfitted.description.kinds import BatteryCharger, InverterCharger
from asfitted.numbers import exceeds
from asfitted.studies.demand_ac import ac_limit_a
from asfitted.studies.importance import must_go_on
from asfitted.studies.transfer.abilities import Ability, Outcome, ability, limited, outcome
from asfitted.studies.transfer.changeovers import Behind, Changeover
from asfitted.studies.transfer.starts import motor_starting, running_a
from asfitted.studies.trial import Trial
from asfitted.tables.transfer import motor_start

#: what comes back after what must go on: light, then what thinks, then what turns; what heats comes last
_ORDER = ("lighting", None, "motor", "machine", "compressor", "heater")


@dataclass(frozen=True)
class Step:
    """One load that the owner brings back: how long to wait before it, and the current with it running.

    `fits` is false for what has to stay off until the supply is back.
    """

    behind: Behind
    current_a: float
    total_a: float
    wait_s: float
    fits: bool


@dataclass(frozen=True)
class Takeover:
    """Everything behind a changeover passes from one source to another at full load.

    `lasting_a` is what runs, no more than the lost source could give; `peak_a` that with its motors starting again.
    `too_much` are the largest loads which together are already more than the source carries.
    """

    switch: str
    lost: str
    taken: str
    able: Ability
    lasting_a: float
    peak_a: float
    outcome: Outcome
    too_much: tuple[Behind, ...]
    steps: tuple[Step, ...]

    @property
    def heat_returns(self) -> tuple[Behind, ...]:
        """The heaters that go on by themselves."""
        return tuple(s.behind for s in self.steps if s.behind.heats and s.behind.load.restarts != "by hand")


def takeovers(trial: Trial, found: Changeover) -> tuple[Takeover, ...]:
    """Return each loss of a source of a changeover after which one of limited power takes over."""
    return tuple(
        _takeover(trial, found, lost, taken)
        for lost, taken in found.crossings
        if limited(trial.network, taken) and found.loads
    )


def _takeover(trial: Trial, found: Changeover, lost: str, taken: str) -> Takeover:
    able = ability(trial.network, taken)
    currents = [(load, running_a(load, able.voltage_v)) for load in found.loads]
    everything = sum((current for _, current in currents), _chargers_a(trial, found, taken))
    together = abs(everything)
    lasting = min(together, ac_limit_a(trial.network, lost))
    starts = [
        start
        for load in found.loads
        if load.load.restarts != "by hand"
        and not load.load.restart_delay_s
        and (start := motor_starting(load, able.voltage_v))
    ]
    share = lasting / together if together else 0.0
    more = sum((start.more_a for start in starts), 0j)
    peak = abs(everything * share + more)
    return Takeover(
        found.item.id,
        lost,
        taken,
        able,
        lasting,
        peak,
        outcome(able, lasting, peak),
        _too_much(currents, able.lasting_a) if exceeds(lasting, able.lasting_a) else (),
        restore(able, found.loads),
    )


def _chargers_a(trial: Trial, found: Changeover, taken: str) -> complex:
    """Return what the chargers behind a changeover go on to take from the source that takes over."""
    scenario = next((s for s in trial.scenarios if s.source == taken and s.mode == "supply"), None)
    chargers = [
        i.current_a
        for i in (scenario.injections if scenario else ())
        if i.item in found.outlets
        and isinstance(trial.network.items[i.item].spec, BatteryCharger | InverterCharger)
    ]
    return sum(chargers, 0j)


def _too_much(currents: list[tuple[Behind, complex]], lasting_a: float) -> tuple[Behind, ...]:
    chosen: list[Behind] = []
    total = 0j
    for load, current in sorted(currents, key=lambda pair: -abs(pair[1])):
        chosen.append(load)
        total += current
        if exceeds(abs(total), lasting_a):
            break
    return tuple(chosen)


def restore(able: Ability, loads: tuple[Behind, ...]) -> tuple[Step, ...]:
    """Return the loads in the order in which they come back, each as long as the source carries it with those
    before it.
    """
    steps: list[Step] = []
    total = 0j
    for load in sorted(loads, key=lambda load: (_rank(load), abs(running_a(load, able.voltage_v)))):
        current = running_a(load, able.voltage_v)
        start = motor_starting(load, able.voltage_v)
        most = able.most_a or able.lasting_a
        fits = not exceeds(abs(total + current), able.lasting_a) and not (
            start and exceeds(abs(total + start.starting_a), most)
        )
        wait = 0.0
        if load.load.duty == "compressor":
            wait = float(load.load.restart_delay_s or motor_start("longest rest").value)
        total += current if fits else 0j
        steps.append(Step(load, abs(current), abs(total), wait, fits))
    return tuple(steps)


def _rank(load: Behind) -> int:
    if must_go_on(load.load):
        return -1
    return _ORDER.index("motor" if load.turns and not load.load.duty else load.load.duty)
