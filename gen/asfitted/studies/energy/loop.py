"""The energy loop: a charger on the output of the inverter that lives from the battery it charges."""

from dataclasses import dataclass

from asfitted.network.states import State
from asfitted.studies.energy.household import Household


@dataclass(frozen=True)
class EnergyLoop:
    """A charger, its inverter and its battery. `loss_w` is what the battery loses meanwhile, the idle draw included.

    `hours` says how long a full battery lasts if nothing else runs; `switched` names what could part the two: a switch
    or a device in the feed of the charger.
    """

    charger: str
    inverter: str
    bank: str
    state: str
    through_w: float
    loss_w: float
    hours: float


def loss_w(input_w: float, inverter_efficiency: float, charger_efficiency: float) -> float:
    """Return what a battery loses round a loop: P_ac·(1/η_inverter − η_charger)."""
    return input_w * (1 / inverter_efficiency - charger_efficiency)


def energy_loops(house: Household, temperature_c: float) -> tuple[EnergyLoop, ...]:
    """Return every loop of a bank while the build lives from its battery."""
    state = house.modes.battery
    if state is None:
        return ()
    return tuple(_loops(house, state, temperature_c))


def _loops(house: Household, state: State, temperature_c: float) -> list[EnergyLoop]:
    found = []
    for charger, source, line in house.chargers.get("battery", ()):
        inverter = house.inverters.get(source)
        if inverter is None:
            continue
        # the charger asks what it can, the inverter gives what it can
        through = min(line.input_w, inverter.rated_w)
        loss = loss_w(through, inverter.slope, line.efficiency) + inverter.idle_w
        bank = house.bank
        found.append(
            EnergyLoop(
                charger, source, bank.id, state.id, through, loss,
                bank.usable_wh(temperature_c) / (loss + bank.standing_w),
            )
        )  # fmt: skip
    return found
