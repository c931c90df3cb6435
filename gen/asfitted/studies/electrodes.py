"""Earth electrodes of the build itself: what a TT system returns its earth-fault current through.

A fixed TT supply brings no protective conductor to rely on. The lead of something plugged in does: there the
electrode of the site serves.
"""

from dataclasses import dataclass

from asfitted.description.kinds import AcSupply, EarthElectrode
from asfitted.network.model import Bond, Core, Network
from asfitted.network.states import State
from asfitted.studies.earth_path import protective_way, return_terminal
from asfitted.tables.circuit_defaults import circuit_default

#: IEC 60364-4-41 411.5.3: the voltage that R_A times the rated residual current may not exceed
TOUCH_LIMIT_V = 50.0


@dataclass(frozen=True)
class OwnElectrode:
    """An electrode of the build with the protective conductors from an outlet's metalwork to it; resistances
    in ohms, `neutral_ohm` that of the supply's neutral, assumed where nobody gave it.
    """

    id: str
    electrode_ohm: float
    neutral_ohm: float
    neutral_assumed: bool
    way: tuple[Core, ...]


def fixed_tt(network: Network, source: str) -> bool:
    """Tell whether a source is a TT supply that is not plugged in: the build needs its own electrode."""
    spec = network.items[source].spec
    return isinstance(spec, AcSupply) and spec.earthing == "TT" and not network.inlets_of[source]


def own_electrode(state: State, source: str, metal: str) -> OwnElectrode | None:
    """Return the build's electrode of least resistance that serves an outlet; None if the site's own serves
    or there is none.
    """
    spec = state.network.items[source].spec
    if not isinstance(spec, AcSupply) or spec.earthing != "TT":
        return None
    tie = return_terminal(state, source)
    from_site = tie is not None and protective_way(state, metal, tie) is not None
    if from_site and not fixed_tt(state.network, source):
        return None
    assumed = spec.neutral_electrode_ohm is None
    neutral = spec.neutral_electrode_ohm or circuit_default("neutral electrode", "least").value
    found = [
        OwnElectrode(item.id, float(item.spec.resistance_ohm), float(neutral), assumed, way)
        for item in state.network.of_kind("earth electrode")
        if isinstance(item.spec, EarthElectrode)
        and (way := protective_way(state, metal, item.id)) is not None
    ]
    return min(found, key=lambda electrode: electrode.electrode_ohm, default=None)


def ground_of(network: Network, bond: Bond) -> str:
    """Return where a tie to earth ends: of a TT supply without protective conductor, through the soil at the
    electrode of the build.
    """
    spec = network.items[bond.equipment].spec
    wired = any(bond.earth in (core.a, core.b) for core in network.cores.values())
    wired = wired or any(bond.earth in (join.a, join.b) for join in network.joins)
    electrodes = network.of_kind("earth electrode")
    if isinstance(spec, AcSupply) and spec.earthing == "TT" and not wired and electrodes:
        return electrodes[0].id
    return bond.earth
