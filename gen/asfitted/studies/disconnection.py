"""Devices that disconnect an earth fault, the time that they take and the time that they have."""

from collections.abc import Iterator
from dataclasses import dataclass

from asfitted.description.kinds import Breaker, GfciBreaker, GfciReceptacle, Rcbo, Rcd
from asfitted.network.model import Contact, Item
from asfitted.studies.feeding import Element, overcurrent_device
from asfitted.studies.trial import Trial
from asfitted.tables.devices import disconnection_time_s, instantaneous_band, rcd_time_s
from asfitted.tables.looked import Looked, NoRowError

#: IEC 60898-1 Table 7: an instantaneous trip opens within this time
INSTANTANEOUS_S = 0.1
#: UL 943: a Class A interrupter opens in (20/I)^1.43 s, I in mA up to this
GFCI_TOP_MA = 264.0
#: UL 943, rated trip level of a Class A interrupter, in A
GFCI_A = 0.006


@dataclass(frozen=True)
class Disconnection:
    """A device that disconnects a fault: its id, the longest time it takes and the current it needs for
    that; `residual_a` is the rated residual current of one that senses it.
    """

    device: str
    time_s: float
    needed_a: float
    source: str
    residual_a: float = 0.0


def demanded_time(system: str, voltage_v: float) -> Looked | None:
    """Return the time demanded for a final circuit; a source aboard counts as TN: its neutral is
    tied aboard.
    """
    if system == "IT":
        return None
    try:
        return disconnection_time_s("TT" if system == "TT" else "TN", "ac", voltage_v)
    except NoRowError:
        return None


def overcurrent_releases(trial: Trial, way: tuple[Element, ...]) -> Iterator[Disconnection]:
    """Yield the breakers on a way with the current that surely makes them open at once."""
    for element in way:
        spec = overcurrent_device(trial.network, element)
        if isinstance(element, Contact) and isinstance(spec, Breaker) and spec.curve:
            band = instantaneous_band(spec.curve)
            yield Disconnection(element.equipment, INSTANTANEOUS_S, band.high * spec.rating_a, band.source)


def residual_releases(
    trial: Trial, way: tuple[Element, ...], outlet: str, least_a: float | None
) -> Iterator[Disconnection]:
    """Yield the residual current devices on a way, each with its time at five times its rated residual
    current, or at twice where the fault drives no more (through a poor electrode).
    """
    for id_ in dict.fromkeys((*(e.equipment for e in way if isinstance(e, Contact)), outlet)):
        spec = trial.network.items[id_].spec
        if isinstance(spec, Rcd | Rcbo):
            multiple = 2 if least_a is not None and least_a < 5 * spec.residual_a else 5
            time = rcd_time_s(spec.delay, multiple, "longest")
            yield Disconnection(
                id_, time.value, multiple * spec.residual_a, time.source, float(spec.residual_a)
            )
        elif isinstance(spec, GfciBreaker | GfciReceptacle):
            yield Disconnection(id_, (20 / GFCI_TOP_MA) ** 1.43, GFCI_TOP_MA / 1000, "UL 943", GFCI_A)


def collapses_s(item: Item) -> float | None:
    """Return the time after which a source that limits its current shuts down for good, None if it does not."""
    limit = getattr(item.spec, "output_limit", None)
    return float(limit.duration_s) if limit and limit.then == "latched off" else None
