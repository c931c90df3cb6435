"""What the chargers do when the supply goes: they stop, or the battery goes on to charge itself."""

from dataclasses import dataclass

from asfitted.network.model import Network
from asfitted.network.states import State
from asfitted.studies.transfer.changeovers import Changeover


@dataclass(frozen=True)
class ChargerFate:
    """A charger that a lost source feeds; `then` is the source that goes on to feed it, empty if it stops."""

    charger: str
    lost: str
    then: str


def charger_fates(network: Network, states: tuple[State, ...], found: Changeover) -> tuple[ChargerFate, ...]:
    """Return what becomes of every charger that the sources of a changeover's preferred side feed."""
    chargers = [item.id for item in network.of_kind("battery charger", "inverter charger")]
    settled = [state for state in states if not state.in_transit]

    def fed(source: str, charger: str, without: str = "") -> bool:
        return any(charger in s.feeding.get(source, ()) and without not in s.sources for s in settled)

    return tuple(
        ChargerFate(charger, lost, next((s for _, s in found.crossings if fed(s, charger, lost)), ""))
        for lost in found.feeding(found.preferred)
        for charger in chargers
        if fed(lost, charger)
    )
