"""How a kind of day goes on one bank: what it takes and brings, and what becomes of it when it repeats."""

from dataclasses import dataclass
from itertools import count

import numpy as np
from numpy.typing import NDArray

from asfitted.description.schema import Climate, Day
from asfitted.studies.energy.flows import AS_DESCRIBED, Conditions, Flows, daily_wh, flows
from asfitted.studies.energy.household import Household
from asfitted.studies.energy.schedule import BREAKFAST_H, MINUTES, STEP_H
from asfitted.studies.energy.simulate import Ledger, Store, hours_until, simulate

Series = NDArray[np.float64]
#: a kind of day that goes on for so long is answered with "lasts"
MOST_DAYS = 60
#: full for a person who looks at a meter
FULL = 0.98


@dataclass(frozen=True)
class Part:
    """One source or sink of a day: its id and its energy in Wh."""

    id: str
    wh: float


@dataclass(frozen=True)
class DayResult:
    """One kind of day on one bank.

    `first_days` is the stored energy through the first days, from full; `typical` a day once the kind has gone on for
    long, or the first from full where it cannot go on. `hours_to_empty` counts from full at breakfast and is None where
    the day lasts, `hours_dark` likewise with no sun, plug or engine; `hours_to_full` counts from the floor and from the
    minute at which charging begins, and is None where it never fills. `dark_takes_wh` is what the day takes away from
    any plug, `surplus_wh` what a day could store less what it takes out, before the battery is full or empty.
    `charging_allowed` is false where a cut-off stops charging; `charged_too_cold` says that nothing does although it must
    not go on, `used_too_cold` that the battery must not even give. `sun_wh` is the
    part of the sun in what could be brought.
    """

    name: str
    bank: str
    temperature_c: float
    full_wh: float
    floor_wh: float
    takes: tuple[Part, ...]
    dark_takes_wh: float
    brings: tuple[Part, ...]
    through: tuple[Part, ...]
    peak_through: tuple[Part, ...]
    peak_w: float
    surplus_wh: float
    first_days: Series
    typical: Ledger
    used: tuple[Part, ...]
    hours_to_empty: float | None
    hours_dark: float | None
    hours_to_full: float | None
    charging_allowed: bool
    charged_too_cold: bool
    used_too_cold: bool
    sun_wh: float
    not_available: tuple[str, ...]

    @property
    def takes_wh(self) -> float:
        """All that is taken from the terminals in a day."""
        return sum(part.wh for part in self.takes)

    @property
    def brings_wh(self) -> float:
        """All that could be brought to the terminals in a day."""
        return sum(part.wh for part in self.brings)

    @property
    def recovers(self) -> bool:
        """Whether the day gives back what it takes."""
        return self.surplus_wh >= 0

    @property
    def lives_from_outside(self) -> bool:
        """Whether plug, generator or engine carries it, more than the sun: without them it is another day."""
        return self.recovers and self.brings_wh - self.sun_wh > self.sun_wh


#: no sun, no plug, no engine
DARK = Conditions(sun_share=0.0, plugged=False, driven=False)


def day_result(house: Household, name: str, day: Day, climate: Climate | None) -> DayResult:
    """Return how a kind of day goes."""
    flow = flows(house, day, climate, AS_DESCRIBED)
    dark = flows(house, day, climate, DARK)
    bank = house.bank
    store = bank.store(flow.temperature_c)
    allowed = bank.is_charged(flow.temperature_c)
    first = run_days(store, store.full_wh, flow, allowed, 3)
    surplus = _surplus(store, flow, allowed)
    recovers = surplus >= 0
    typical = _settled(store, flow, allowed) if recovers else run_days(store, store.full_wh, flow, allowed, 1)
    return DayResult(
        name=name,
        bank=house.bank.id,
        temperature_c=flow.temperature_c,
        full_wh=store.full_wh,
        floor_wh=store.floor_wh,
        takes=_parts(flow.takes),
        dark_takes_wh=daily_wh(dark.load_w),
        brings=_parts(flow.brings),
        through=_parts(flow.through),
        peak_through=tuple(Part(id_, float(series.max())) for id_, series in flow.through.items()),
        peak_w=float(np.max(flow.load_w - np.minimum(flow.source_w, flow.load_w))),
        surplus_wh=surplus,
        first_days=first.stored_wh,
        typical=typical,
        used=_used(flow, typical),
        hours_to_empty=hours_to_empty(store, store.full_wh, flow.from_minute(60 * BREAKFAST_H), allowed),
        hours_dark=hours_to_empty(store, store.full_wh, dark.from_minute(60 * BREAKFAST_H), allowed),
        hours_to_full=_hours_to_full(store, flow.from_minute(_charging_begins(flow)), allowed),
        charging_allowed=allowed,
        charged_too_cold=allowed and bool(flow.brings) and bank.too_cold_to_charge(flow.temperature_c),
        sun_wh=sum(daily_wh(flow.brings[panel.id]) for panel in house.panels if panel.id in flow.brings),
        used_too_cold=bank.too_cold_to_use(flow.temperature_c),
        not_available=flow.not_available,
    )


def run_days(store: Store, start_wh: float, flow: Flows, allowed: bool, days: int) -> Ledger:
    """Return the ledger of some days of one kind in a row."""
    may = np.full(MINUTES * days, allowed)
    return simulate(store, start_wh, np.tile(flow.load_w, days), np.tile(flow.source_w, days), may, STEP_H)


def hours_to_empty(store: Store, start_wh: float, flow: Flows, allowed: bool) -> float | None:
    """Return the hours until something is first without supply; None where the days come back to where they began."""
    now = start_wh
    for day in count():
        ledger = run_days(store, now, flow, allowed, 1)
        hours = hours_until(ledger, STEP_H)
        if hours is not None:
            return day * 24 + hours
        if ledger.end_wh >= now - 1e-6 or day >= MOST_DAYS:
            return None
        now = ledger.end_wh
    raise AssertionError  # count() has no end


def _hours_to_full(store: Store, flow: Flows, allowed: bool) -> float | None:
    now = store.floor_wh
    for day in range(MOST_DAYS):
        ledger = run_days(store, now, flow, allowed, 1)
        reached = np.nonzero(ledger.stored_wh >= FULL * store.full_wh)[0]
        if len(reached):
            return day * 24 + (int(reached[0]) + 1) * STEP_H
        if ledger.end_wh <= now + 1e-6:
            return None
        now = ledger.end_wh
    return None


def _charging_begins(flow: Flows) -> int:
    """Return the first minute, from breakfast on, in which something comes that did not come in the minute before."""
    coming = flow.source_w > 0
    begins = np.nonzero(coming & ~np.roll(coming, 1))[0]
    after = [minute for minute in begins.tolist() if minute >= 60 * BREAKFAST_H]
    return int((after or begins.tolist() or [60 * BREAKFAST_H])[0])


def _settled(store: Store, flow: Flows, allowed: bool) -> Ledger:
    """Return a day as it goes once the same kind has gone on for long."""
    now, ledger = store.full_wh, run_days(store, store.full_wh, flow, allowed, 1)
    for _ in range(MOST_DAYS):
        if abs(ledger.end_wh - now) < 1e-3:
            break
        now = ledger.end_wh
        ledger = run_days(store, now, flow, allowed, 1)
    return ledger


def _surplus(store: Store, flow: Flows, allowed: bool) -> float:
    net = flow.source_w - flow.load_w
    wanted = np.maximum(-net, 0.0)
    stored = np.clip(net, 0.0, store.charge_w) * store.charge_efficiency if allowed else np.zeros(MINUTES)
    return daily_wh(stored - wanted * store.draw_factor(wanted))


def _used(flow: Flows, ledger: Ledger) -> tuple[Part, ...]:
    """Return what each source really gave: what was used of all, shared by what each offered at that minute."""
    share = np.divide(
        ledger.direct_wh + ledger.accepted_wh,
        ledger.offered_wh,
        out=np.zeros(MINUTES),
        where=ledger.offered_wh > 0,
    )
    return tuple(Part(id_, daily_wh(series * share)) for id_, series in flow.brings.items())


def _parts(series: dict[str, Series]) -> tuple[Part, ...]:
    return tuple(Part(id_, daily_wh(power)) for id_, power in series.items())
