"""A build as it would be described on the other side: the same loads and ways, that side's voltage and kinds.

What sits in direct current stays as it is. What a device or an a.c. cable is rated for is left open: it is chosen
anew.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, TypeVar, cast

from asfitted.description.kinds import (
    DC,
    AcSupply,
    Adaptor,
    Breaker,
    Equipment,
    Generator,
    GfciBreaker,
    GfciReceptacle,
    Inverter,
    InverterCharger,
    Load,
    LoadItem,
    Rcbo,
    Sockets,
    SupplyInlet,
    TransferSwitch,
)
from asfitted.network.build import TEMPERATURE_C
from asfitted.network.model import Cable, Item, Network
from asfitted.studies.other_side.places import Places
from asfitted.tables.rules.rule_set import RuleSet
from asfitted.tables.sides import ELSEWHERE, WIRING, Side

#: fields of a circuit-breaker that are chosen anew
OPEN = ("rating", "curve", "poles")
#: what an RCBO for people has on the side of 230 V (IEC 60364-4-41 415.1)
RESIDUAL = {"residual_a": 0.03, "residual_type": "A", "delay": "none"}
AC_CABLES = ("ac", "L", "N")
Kind = TypeVar("Kind", bound=Equipment)


def crossed(network: Network, found: Places, here: Side, there: Side, rules: RuleSet) -> Network:
    """Return a network as it would be on the side `there`, held to `rules`, with ratings and sizes left open."""
    description = network.description
    build = description.build.model_copy(
        update={"rules": rules.name, "units": "US" if rules.awg else "metric"}
    )
    direct = {c.equipment for c in network.contacts if c.conductor in DC}
    crossing = _Crossing(network, found, here, there, rules)
    items = {
        id_: item if id_ in direct else replace(item, spec=crossing.spec(item))
        for id_, item in network.items.items()
    }
    cables = {
        id_: _cable(cable, rules) if cable.kind in AC_CABLES else cable
        for id_, cable in network.cables.items()
    }
    return replace(
        network, description=description.model_copy(update={"build": build}), items=items, cables=cables
    )


def _cable(cable: Cable, rules: RuleSet) -> Cable:
    """Return a cable with its size open and the insulation that is usual there."""
    wiring, cord = WIRING.get(rules.name, ELSEWHERE)
    lead = cable.insulation.startswith("rubber") or (cable.flexible and cable.insulation.startswith("EPR"))
    insulation = cord if lead else wiring
    if cable.insulation.startswith("silicone"):
        insulation = cable.insulation
    cores = tuple(replace(core, size=None) for core in cable.cores)
    return replace(
        cable,
        size=None,
        at_least=None,
        cores=cores,
        insulation=insulation,
        conductor_temp_c=TEMPERATURE_C[insulation],
    )


@dataclass(frozen=True)
class _Crossing:
    """From the equipment of one side to that of the other."""

    network: Network
    places: Places
    here: Side
    there: Side
    rules: RuleSet

    @property
    def ratio(self) -> float:
        """How many times the current of here flows there, at the same power."""
        return self.here.voltage_v / self.there.voltage_v

    def spec(self, item: Item) -> Equipment:
        """Return the description of a piece of equipment as it would be there."""
        spec, rates = (
            item.spec,
            {"voltage_v": self.there.voltage_v, "frequency_hz": self.there.frequency.value},
        )
        if isinstance(spec, AcSupply):
            rating_a = self.supply_a(float(spec.rating_a))
            upstream = spec.upstream.model_copy(update={"rating_a": rating_a})
            changed = {"rating_a": rating_a, "upstream": upstream, "at": {}, "polarity": "fixed"}
            return spec.model_copy(update=rates | changed)
        if isinstance(spec, Generator):
            own_a = spec.rating_a and spec.rating_a * self.ratio
            return spec.model_copy(update=rates | {"rating_a": own_a})
        if isinstance(spec, Inverter):
            return self._inverter(spec)
        if isinstance(spec, SupplyInlet | Adaptor):
            return spec.model_copy(update={"rating_a": self.supply_a(float(spec.rating_a))})
        if isinstance(spec, TransferSwitch):
            return spec.model_copy(update={"rating_a": spec.rating_a * self.ratio})
        if isinstance(spec, Load):
            return spec.model_copy(update={"loads": self._loads(spec.loads)})
        if isinstance(spec, Sockets):
            return self._outlet(item.id, spec)
        return self._device(item.id, spec) if isinstance(spec, Breaker) else spec

    def supply_a(self, rating_a: float) -> float:
        """Return the rating of the supply there that stands for one of here."""
        return self.there.supply_for(rating_a * self.here.voltage_v).value

    def _inverter(self, spec: Inverter) -> Inverter:
        update: dict[str, Any] = {
            "ac_voltage_v": self.there.voltage_v,
            "frequency_hz": self.there.frequency.value,
        }
        if spec.output_limit:
            limit_a = spec.output_limit.current_a * self.ratio
            update["output_limit"] = spec.output_limit.model_copy(update={"current_a": limit_a})
        if isinstance(spec, InverterCharger):
            update["transfer_rating_a"] = spec.transfer_rating_a * self.ratio
        return spec.model_copy(update=update)

    def _loads(self, loads: Mapping[str, LoadItem]) -> dict[str, LoadItem]:
        """Return appliances of the same power: what is described by its current takes it times the ratio."""
        found = {}
        for name, load in loads.items():
            update: dict[str, Any] = {"current_a": load.current_a and load.current_a * self.ratio}
            if load.starting:
                start_a = load.starting.current_a * self.ratio
                update["starting"] = load.starting.model_copy(update={"current_a": start_a})
            found[name] = load.model_copy(update=update)
        return found

    def _outlet(self, id_: str, spec: Sockets) -> Sockets:
        largest_a = max(
            (appliance_a(load, self.here, self.there) for load in spec.loads.values()), default=0.0
        )
        outlet = self.there.outlet_for(largest_a) or self.there.outlets[-1]
        update = {"rating_a": outlet.rating_a, "loads": self._loads(spec.loads)}
        before = self.network.items[self.places.outlets[id_]].spec if id_ in self.places.outlets else None
        receptacle = isinstance(before, Rcbo) and self.there.name == "120 V"
        return _as(GfciReceptacle if receptacle else Sockets, spec, update)

    def _device(self, id_: str, spec: Breaker) -> Breaker:
        kind = self._kind(id_, spec)
        update: dict[str, Any] = dict.fromkeys(("curve", "breaking_capacity_a", "ac_voltage_v")) | (
            RESIDUAL if kind is Rcbo else {}
        )
        main = self.places.mains.get(id_)
        supply = self.network.items[main].spec if main else None
        if isinstance(supply, AcSupply) and spec.rating_a == supply.rating_a:
            update |= {"rating_a": self.supply_a(float(supply.rating_a))}
            return _as(kind, spec, update).leaving_open(*OPEN[1:])
        return _as(kind, spec, update).leaving_open(*OPEN)

    def _kind(self, id_: str, spec: Breaker) -> type[Breaker]:
        """Return the kind of device. To 120 V: what is first on its way to open on leakage becomes a GFCI breaker, or
        stays behind the shore inlet of a craft; before outlets, which get GFCI receptacles, and behind another such
        device a plain one does. To 230 V: an RCBO for a GFCI breaker, and before GFCI receptacles.
        """
        residual = isinstance(spec, Rcbo | GfciBreaker)
        outlets = [self.network.items[o] for o, device in self.places.outlets.items() if device == id_]
        if self.there.name != "120 V":
            return Rcbo if residual or any(o.kind == "GFCI receptacle" for o in outlets) else Breaker
        if not residual or outlets or id_ not in self.places.first_residual:
            return Breaker
        return Rcbo if self.rules.receptacles_a is None and id_ in self.places.mains else GfciBreaker


def appliance_a(load: LoadItem, here: Side, there: Side) -> float:
    """Return the current of an appliance there, at the power that it has here (at its power factor, or 1)."""
    if load.current_a is not None or load.power_w is None:
        return (load.current_a or 0.0) * here.voltage_v / there.voltage_v
    return float(load.power_w) / there.voltage_v / float(load.power_factor or 1.0)


def _as(kind: type[Kind], spec: Equipment, update: Mapping[str, Any]) -> Kind:
    """Return a piece of equipment as another kind: with all fields that both have, some of them changed."""
    shared = kind.model_fields.keys() & type(spec).model_fields.keys() - {"kind"}
    fields: dict[str, Any] = {name: getattr(spec, name) for name in shared} | dict(update)
    return cast("Kind", kind.model_construct(**{**fields, "kind": kind.KIND}))
