"""Residual current devices: tried at every outlet in every state that feeds it, and by what resistor.

Only a current from line to earth in that state proves the earth path: the button of a device sends its
current from line to neutral around its own sensor.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import Literal

from asfitted.description.kinds import Rcbo, Rcd
from asfitted.network.states import State
from asfitted.studies.commissioning.live import band
from asfitted.studies.commissioning.plan import Column, Expected, Subject, Test
from asfitted.studies.coverage import Coverage, residual_a
from asfitted.tables.devices import rcd_time_s

#: UL 943: a Class A interrupter trips from 6 mA on and not below 4 mA, within (20 / I)^1.43 s, I in mA
GFCI_TRIP_A, GFCI_HOLD_A, GFCI_20_MA = 0.006, 0.004, 20.0
CLASS_A = ("GFCI breaker", "GFCI receptacle")
#: a resistor of the E12 series (IEC 60063), 1 %
E12 = (1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2)
TOLERANCE = 0.01
#: a supply is tried between these shares of its voltage (EN 50160, from memory)
LEAST_SHARE, GREATEST_SHARE = 0.9, 1.1
#: how long a button may be held (house rule; a Class A interrupter takes longer)
HOLD_S, HOLD_GFCI_S = 2.0, 5.0

Of = Callable[[Subject, Coverage], Expected | Column | None]


@dataclass(frozen=True)
class Resistor:
    """A resistor between line and earth: resistance in ohms, current at the least and the greatest voltage
    in A, power in W at the greatest; `trips_s` is the longest time that a device takes at the least current,
    None where it must not trip.
    """

    source: str
    rated_a: float
    class_a: bool
    ohm: float
    least_a: float
    greatest_a: float
    power_w: float
    hold_s: float
    trips_s: float | None


def resistors(subject: Subject) -> tuple[Resistor, ...]:
    """Return for each source and rated residual current the resistor that must trip and the one that must
    not.
    """
    found: dict[tuple[str, float], tuple[Resistor, ...]] = {}
    for of_state in subject.coverage.values():
        for cover in of_state:
            rated, class_a = _most_sensitive(subject, cover)
            if rated and (cover.source, rated) not in found:
                volts = band(subject, cover.source)[0]
                found[cover.source, rated] = tuple(pair_of_resistors(cover.source, volts, rated, class_a))
    return tuple(resistor for pair in found.values() for resistor in pair)


def pair_of_resistors(source: str, volts: float, rated_a: float, class_a: bool) -> Iterator[Resistor]:
    """Yield the greatest resistor that surely trips a device, then the least that surely does not."""
    least_v, greatest_v = volts * LEAST_SHARE, volts * GREATEST_SHARE
    trip_a = GFCI_TRIP_A if class_a else rated_a
    hold_a = GFCI_HOLD_A if class_a else rated_a / 2
    must = _e12(least_v / trip_a / (1 + TOLERANCE), upwards=False)
    never = _e12(greatest_v / hold_a / (1 - TOLERANCE), upwards=True)
    hold_s = HOLD_GFCI_S if class_a else HOLD_S
    for ohm in (must, never):
        least_a, greatest_a = least_v / ohm, greatest_v / ohm
        time_s = None
        if ohm == must:
            time_s = (
                (GFCI_20_MA / (least_a * 1e3)) ** 1.43 if class_a else rcd_time_s("none", 1, "longest").value
            )
        yield Resistor(
            source, rated_a, class_a, ohm, least_a, greatest_a, greatest_v**2 / ohm, hold_s, time_s
        )


def _e12(ohm: float, upwards: bool) -> float:
    """Return the next value of the E12 series at or above (below) a resistance."""
    values = [base * 10.0**decade for decade in range(2, 7) for base in E12]
    if upwards:
        return round(min(v for v in values if v >= ohm), 6)
    return round(max(v for v in values if v <= ohm), 6)


def _most_sensitive(subject: Subject, cover: Coverage) -> tuple[float, bool]:
    """Return the least rated residual current aboard that sees an outlet, and whether it is of Class A."""
    devices = [subject.network.items[device] for device in cover.aboard]
    if not devices:
        return 0.0, False
    item = min(devices, key=lambda d: residual_a(d) or 1.0)
    return residual_a(item) or 0.0, item.kind in CLASS_A


def residual_tests(subject: Subject) -> Iterator[Test]:
    """Yield the trips at every outlet, in the order that keeps the tester safe: what must hold, then what
    must trip.
    """
    acts: tuple[tuple[str, Of], ...] = (
        ("rcd-half", _by_eye),
        ("rcd-trip", _trips),
        ("rcd-five", _trips_at_five),
        ("rcd-ramp", _ramp),
        ("earth-path", _by_eye),
    )
    for code, of in acts:
        for outlet in subject.outlets:
            columns = subject.columns(partial(_column, subject, outlet, of))
            devices = _devices(subject, outlet)
            if devices:
                yield Test(code, "live", columns, outlet, "", {"devices": ", ".join(devices)})
    for item in subject.network.items.values():
        if residual_a(item) is not None:
            columns = subject.columns(partial(_button, subject, item.id))
            yield Test("rcd-button", "live", columns, item.id)


def _devices(subject: Subject, outlet: str) -> tuple[str, ...]:
    covers = subject.covers(outlet).values()
    return tuple(dict.fromkeys(device for cover in covers for device in cover.aboard))


def _column(subject: Subject, outlet: str, of: Of, state: State) -> Column:
    cover = subject.covers(outlet).get(state.id)
    if cover is None:
        return Column(state.id, not_applicable="not fed")
    if not cover.aboard:
        return Column(state.id, not_applicable="no device")
    if not cover.can_trip:
        return Column(state.id, not_applicable="no return path")
    found = of(subject, cover)
    return found if isinstance(found, Column) else Column(state.id, found)


def _by_eye(subject: Subject, cover: Coverage) -> None:
    """What trips or holds is seen, not measured."""


def _trips(subject: Subject, cover: Coverage) -> Expected:
    rated, class_a = _most_sensitive(subject, cover)
    if class_a:
        return Expected("s", high=(GFCI_20_MA / (rated * 1e3)) ** 1.43)
    return Expected("ms", high=rcd_time_s(_delay(subject, cover), 1, "longest").value)


def _trips_at_five(subject: Subject, cover: Coverage) -> Expected | Column:
    if _most_sensitive(subject, cover)[1]:
        return Column(cover.state, not_applicable="Class A")
    return Expected("ms", high=rcd_time_s(_delay(subject, cover), 5, "longest").value)


def _ramp(subject: Subject, cover: Coverage) -> Expected:
    rated, class_a = _most_sensitive(subject, cover)
    low = GFCI_HOLD_A if class_a else rated / 2
    return Expected("mA", None, low, GFCI_TRIP_A if class_a else rated)


def _delay(subject: Subject, cover: Coverage) -> Literal["none", "selective"]:
    """Return "none" as soon as one of the devices in line is not delayed: it trips first."""
    specs = [subject.network.items[device].spec for device in cover.aboard]
    delays = {spec.delay for spec in specs if isinstance(spec, Rcd | Rcbo)}
    return "selective" if delays == {"selective"} else "none"


def _button(subject: Subject, device: str, state: State) -> Column:
    """The button needs voltage at the device, and nothing else."""
    terminals = subject.network.items[device].terminals
    live = any(t in state.energised for t in terminals if t.rsplit(".", 1)[-1] in ("L", "L1"))
    return Column(state.id, not_applicable="" if live else "not fed")
