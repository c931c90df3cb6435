"""Air for lead-acid batteries on charge, by IEC 62485-2: hydrogen is diluted below its explosive limit."""

from dataclasses import dataclass

from asfitted.description.kinds import Battery
from asfitted.network.model import Item, Network
from asfitted.studies.energy.formulas import air_m3_h, opening_cm2
from asfitted.tables.energy import battery_value, gassing


@dataclass(frozen=True)
class Ventilation:
    """What one lead-acid battery asks for while it is charged up to its absorption voltage.

    `vented` is None where nothing is said of its place.
    """

    battery: str
    space: str
    vented: bool | None
    cells: int
    gassing_ma_per_ah: float
    capacity_ah: float
    air_m3_h: float
    opening_cm2: float
    source: str


def ventilation(network: Network) -> tuple[Ventilation, ...]:
    """Return what every lead-acid battery asks for; LiFePO4 gives off no gas in ordinary service."""
    return tuple(
        _of(network, item, item.spec)
        for item in network.items.values()
        if isinstance(item.spec, Battery) and item.spec.chemistry.startswith("lead-acid") and not item.planned
    )


def _of(network: Network, item: Item, spec: Battery) -> Ventilation:
    cells = round(spec.voltage_v / battery_value(spec.chemistry, "cell_v").value)
    gas = gassing(spec.chemistry, "boost")
    air = air_m3_h(cells, gas.value, spec.capacity_ah)
    space = network.description.spaces.get(spec.space or "")
    stated = space.vented if space else None
    open_air = space is not None and space.wet == "outside"
    vented = True if open_air or stated == "vented" else False if stated == "not vented" else None
    return Ventilation(
        item.id,
        spec.space or "",
        vented,
        cells,
        gas.value,
        spec.capacity_ah,
        air,
        opening_cm2(air),
        gas.source,
    )
