"""The battery that the loads live on: one or more house batteries in parallel, with what was given and what was taken."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Literal

from asfitted.description.kinds import Battery
from asfitted.network.model import Item, Network
from asfitted.network.potentials import Potentials
from asfitted.studies.energy.formulas import time_constant_h
from asfitted.studies.energy.simulate import Store
from asfitted.studies.results import Assumption
from asfitted.tables.batteries import battery_voltage
from asfitted.tables.energy import Kept, battery_value, cold_share, default
from asfitted.tables.looked import NoRowError

HOURS_A_MONTH = 730.0


@dataclass
class Notes:
    """The assumptions that were made on the way, each once for each piece of equipment."""

    found: dict[tuple[str, str], Assumption] = field(default_factory=dict)

    def assume(self, code: str, where: str, source: str = "", **fields: object) -> None:
        """Note one assumption."""
        self.found.setdefault((code, where), Assumption(code, (where,), fields, source))


@dataclass(frozen=True)
class Bank:
    """House batteries that share their terminals, as one. Capacity at the rated hours and at room temperature."""

    batteries: tuple[str, ...]
    chemistry: str
    voltage_v: float
    capacity_ah: float
    usable: float
    exponent: float
    rated_h: float
    charge_efficiency: float
    tau_h: float
    charge_limit_a: float
    discharge_limit_a: float | None
    coldest_charge_c: float | None
    coldest_discharge_c: float | None
    charge_stops_below_c: float | None
    standing_w: float
    highest_v: float
    assumed: frozenset[str]

    @property
    def id(self) -> str:
        """The id of its first battery."""
        return self.batteries[0]

    @property
    def rated_wh(self) -> float:
        """Rated capacity in Wh at nominal voltage."""
        return self.capacity_ah * self.voltage_v

    def full_wh(self, temperature_c: float) -> float:
        """Return what it holds when full and as warm as that."""
        return self.rated_wh * cold_share(self.chemistry, temperature_c).value

    def usable_wh(self, temperature_c: float) -> float:
        """Return what may be taken from full."""
        return self.full_wh(temperature_c) * self.usable

    def left_wh(self, reading: float, temperature_c: float) -> float:
        """Return what is in store where a meter that counts what is taken from full shows a share of the rated capacity.

        Such a meter does not feel the cold: what the cold takes away is missing at the end.
        """
        full = self.full_wh(temperature_c)
        return max(full * (1 - self.usable), full - (1 - reading) * self.rated_wh)

    def empty_reading(self, temperature_c: float) -> float:
        """Return what such a meter shows when no more may be taken."""
        return max(0.0, 1 - self.usable_wh(temperature_c) / self.rated_wh)

    def is_charged(self, temperature_c: float) -> bool:
        """Tell whether charging goes on at a temperature: it does unless a cut-off is described that stops it."""
        return self.charge_stops_below_c is None or temperature_c >= self.charge_stops_below_c

    def too_cold_to_charge(self, temperature_c: float) -> bool:
        """Tell whether its cells must not be charged at a temperature, whatever stops it or not."""
        return self.coldest_charge_c is not None and temperature_c < self.coldest_charge_c

    def too_cold_to_use(self, temperature_c: float) -> bool:
        """Tell whether its cells must not be discharged at a temperature."""
        return self.coldest_discharge_c is not None and temperature_c < self.coldest_discharge_c

    def store(self, temperature_c: float) -> Store:
        """Return the battery as the simulation sees it."""
        full = self.full_wh(temperature_c)
        return Store(
            full_wh=full,
            floor_wh=full * (1 - self.usable),
            charge_efficiency=self.charge_efficiency,
            tau_h=self.tau_h,
            charge_w=self.charge_limit_a * self.voltage_v,
            rated_w=self.rated_wh / self.rated_h,
            exponent=self.exponent,
        )


def banks(network: Network, potentials: Potentials, notes: Notes) -> tuple[Bank, ...]:
    """Return the house batteries, those in parallel together; `potentials` are those with every isolator closed."""
    groups: list[list[Item]] = []
    for item in network.of_kind("battery"):
        if getattr(item.spec, "use", "") != "house":
            continue
        group = next((g for g in groups if potentials.same(f"{g[0].id}.plus", f"{item.id}.plus")), None)
        if group is None:
            groups.append([item])
        else:
            group.append(item)
    return tuple(_bank(group, notes) for group in groups)


def _bank(group: list[Item], notes: Notes) -> Bank:
    """Join batteries of one voltage; of unlike ones the more careful value counts for all."""
    specs = [item.spec for item in group if isinstance(item.spec, Battery)]
    assumed: set[str] = set()

    def taken(name: Kept, given: Callable[[Battery], float | None], careful: Callable[..., float]) -> float:
        values = []
        for item, spec in zip(group, specs, strict=True):
            value = given(spec)
            if value is None:
                looked = battery_value(spec.chemistry, name)
                value = looked.value
                assumed.add(name)
                code = f"battery-{name.replace('_', '-')}"
                notes.assume(code, item.id, looked.source, value=value)
            values.append(float(value))
        return float(careful(values))

    capacity = sum(spec.capacity_ah for spec in specs)
    self_discharge = taken("self_discharge", lambda s: s.self_discharge, max)
    limits = [spec.discharge_limit_a for spec in specs if spec.discharge_limit_a]
    rated_wh = capacity * specs[0].voltage_v
    return Bank(
        batteries=tuple(item.id for item in group),
        chemistry=specs[0].chemistry,
        voltage_v=specs[0].voltage_v,
        capacity_ah=capacity,
        usable=taken("usable", lambda s: s.usable, min),
        exponent=taken("peukert", lambda s: s.peukert, max),
        rated_h=taken("rated_h", lambda s: s.rated_s / 3600 if s.rated_s else None, max),
        charge_efficiency=taken("charge_efficiency", lambda s: s.charge_efficiency, min),
        tau_h=time_constant_h(
            taken("absorption_h", lambda s: s.absorption_s / 3600 if s.absorption_s else None, max)
        ),
        charge_limit_a=sum(spec.charge_limit_a or float("inf") for spec in specs),
        discharge_limit_a=sum(limits) if len(limits) == len(specs) else None,
        coldest_charge_c=coldest_c(specs[0].chemistry, "coldest_charge_c"),
        coldest_discharge_c=coldest_c(specs[0].chemistry, "coldest_discharge_c"),
        charge_stops_below_c=_stops_below(specs),
        standing_w=sum(spec.own_draw_w or 0.0 for spec in specs) + self_discharge * rated_wh / HOURS_A_MONTH,
        highest_v=max(_highest_v(spec) for spec in specs),
        assumed=frozenset(assumed),
    )


def _highest_v(spec: Battery) -> float:
    """Return the voltage while it is charged; the sizing study notes where it is assumed."""
    return spec.highest_voltage_v or battery_voltage(spec.chemistry, spec.voltage_v, "highest").value


def coldest_c(chemistry: str, quantity: Literal["coldest_charge_c", "coldest_discharge_c"]) -> float | None:
    """Return the temperature below which cells must not be charged or used; None where there is no such limit."""
    try:
        return battery_value(chemistry, quantity).value
    except NoRowError:
        return None


def _stops_below(specs: list[Battery]) -> float | None:
    """Return where charging of all of them has stopped; None if one of them goes on being charged."""
    cut_offs = [spec.charge_cut_off_below_c for spec in specs]
    known = [float(limit) for limit in cut_offs if limit is not None]
    return min(known) if len(known) == len(cut_offs) else None


def usual_temperature_c() -> float:
    """Return the temperature of a battery where a day says nothing."""
    return default("battery temperature").value
