"""What a motor takes while it starts: as described, or by the usual multiple of its running current."""

from dataclasses import dataclass

from asfitted.studies.loads import ac_load, phasor
from asfitted.studies.transfer.changeovers import Behind
from asfitted.tables.looked import Verified
from asfitted.tables.transfer import motor_start


@dataclass(frozen=True)
class MotorStart:
    """Phasors in A against the supply voltage: the running current, and the current while starting."""

    behind: Behind
    running_a: complex
    starting_a: complex
    duration_s: float
    source: str
    verified: Verified

    @property
    def more_a(self) -> complex:
        """What the start adds to the running current."""
        return self.starting_a - self.running_a


def running_a(behind: Behind, voltage_v: float) -> complex:
    """Return the running current of a load as a phasor in A."""
    return ac_load(f"{behind.outlet}.{behind.name}", behind.load, voltage_v).current_a


def motor_starting(behind: Behind, voltage_v: float) -> MotorStart | None:
    """Return the start of a load that turns; None for any other."""
    if not behind.turns:
        return None
    running = running_a(behind, voltage_v)
    factor = motor_start("power factor").value
    given = behind.load.starting
    if given:
        starting = phasor(given.current_a, factor)
        return MotorStart(behind, running, starting, given.duration_s, "", "read")
    multiple = motor_start("current over running current")
    starting = phasor(multiple.value * abs(running), factor)
    return MotorStart(
        behind, running, starting, motor_start("duration").value, multiple.source, multiple.verified
    )
