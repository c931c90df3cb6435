"""State of charge step by step: exact for powers that are constant within a step.

What is stored lies between a floor and full. Discharging takes (1 + what Peukert says) of what is delivered; charging
stores a share of what is accepted, and a battery near full accepts less and less: (full − stored)/τ at the most. So
within one step stored energy falls on a line, rises on a line, or rises on an exponential, and each has a closed form.

The recursion saturates at both ends and cannot be a prefix sum: it is one scan over numbers that numpy has prepared.
"""

from dataclasses import dataclass
from math import exp

import numpy as np
from numpy.typing import NDArray

Series = NDArray[np.float64]


@dataclass(frozen=True)
class Store:
    """A battery as the simulation sees it; energies in Wh at nominal voltage.

    `tau_h` is the time constant of absorption, `charge_w` the most that it may be charged with; `rated_w` and
    `exponent` say what Peukert takes.
    """

    full_wh: float
    floor_wh: float
    charge_efficiency: float
    tau_h: float
    charge_w: float
    rated_w: float
    exponent: float

    def draw_factor(self, power_w: Series) -> Series:
        """Return how much is taken from store for each watt delivered: (P/P_rated)^(k−1), never below 1."""
        factor: Series = np.maximum(power_w / self.rated_w, 1.0) ** (self.exponent - 1)
        return factor


@dataclass(frozen=True)
class Ledger:
    """What happened in each step, in Wh; `stored_wh` is the store at the end of each step.

    offered = used by loads + accepted + curtailed; load = served by sources + delivered + unserved;
    rise of the store = accepted − lost in charging − delivered − lost to the rate of discharge.
    """

    start_wh: float
    stored_wh: Series
    offered_wh: Series
    load_wh: Series
    direct_wh: Series
    accepted_wh: Series
    charging_loss_wh: Series
    delivered_wh: Series
    rate_loss_wh: Series
    unserved_wh: Series
    curtailed_wh: Series

    @property
    def end_wh(self) -> float:
        """The store after the last step."""
        return float(self.stored_wh[-1]) if len(self.stored_wh) else self.start_wh

    @property
    def lowest_wh(self) -> float:
        """The least that was in store."""
        return min(self.start_wh, float(self.stored_wh.min())) if len(self.stored_wh) else self.start_wh


def simulate(
    store: Store,
    start_wh: float,
    load_w: Series,
    source_w: Series,
    may_charge: NDArray[np.bool_],
    step_h: float,
) -> Ledger:
    """Return the ledger of a run; all series have one value for each step of `step_h`."""
    load = np.asarray(load_w, dtype=np.float64)
    source = np.asarray(source_w, dtype=np.float64)
    net = source - load
    offered = np.where(may_charge, np.clip(net, 0.0, store.charge_w), 0.0)
    wanted = np.maximum(-net, 0.0)
    factor = store.draw_factor(wanted)
    change = (offered * store.charge_efficiency - wanted * factor) * step_h
    stored = _scan(store, start_wh, change, step_h)
    rise = np.diff(stored, prepend=start_wh)
    up, down = np.maximum(rise, 0.0), np.maximum(-rise, 0.0)
    accepted = up / store.charge_efficiency
    delivered = down / factor
    direct = np.minimum(source, load) * step_h
    return Ledger(
        start_wh,
        stored,
        source * step_h,
        load * step_h,
        direct,
        accepted,
        accepted - up,
        delivered,
        down - delivered,
        wanted * step_h - delivered,
        source * step_h - direct - accepted,
    )


def _scan(store: Store, start_wh: float, change_wh: Series, step_h: float) -> Series:
    """Return the store after each step. A plain loop over plain floats: half a million steps in a tenth of a second."""
    full, floor, tau = store.full_wh, store.floor_wh, store.tau_h
    decay = exp(-step_h / tau)
    ratio = tau / step_h
    now = start_wh
    after: list[float] = []
    keep = after.append
    for change in change_wh.tolist():
        if change < 0.0:
            # what lies below the floor already stays there
            now = max(now + change, min(floor, now))
        elif change > 0.0:
            missing = full - now
            knee = change * ratio
            if missing <= knee:
                now = full - missing * decay
            elif missing - change >= knee:
                now += change
            else:
                # the knee lies within the step: a line up to it, an exponential behind it
                now = full - knee * exp(-(step_h - (missing - knee) * step_h / change) / tau)
        keep(now)
    return np.array(after, dtype=np.float64)


def hours_until(ledger: Ledger, step_h: float) -> float | None:
    """Return the hours until something was first left without supply; None if it never was.

    Within that step the store gave what it had at the wanted rate.
    """
    short = np.nonzero(ledger.unserved_wh > 1e-9)[0]
    if not len(short):
        return None
    step = int(short[0])
    wanted = ledger.unserved_wh[step] + ledger.delivered_wh[step]
    return float(step_h * (step + ledger.delivered_wh[step] / wanted))
