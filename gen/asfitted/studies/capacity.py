"""Current-carrying capacity of a cable where it lies: I_z = I_t · C_a · C_g · C_i."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from asfitted.description.values import Size
from asfitted.network.model import Cable, Network
from asfitted.studies.results import Assumption, Input, Working
from asfitted.tables.capacity import current_carrying_capacity, reference_method
from asfitted.tables.factors import ambient_factor, grouping_factor, thermal_insulation_factor
from asfitted.tables.looked import Looked, NoRowError, weakest
from asfitted.tables.rules.rule_set import RuleSet


@dataclass(frozen=True)
class Surroundings:
    """What takes heat away from a cable, or does not: the hottest air on its way, its neighbours, insulation
    around it.
    """

    ambient_c: float
    ambient_origin: str
    arrangement: str | None = None
    circuits: int = 1
    insulation_m: float = 0.0


@dataclass(frozen=True)
class Capacity:
    """The capacity in A of a cable of one size in its surroundings."""

    current_a: float
    working: Working
    assumptions: tuple[Assumption, ...]


def surroundings(network: Network, cable: Cable) -> Surroundings:
    """Return the worst surroundings on the way of a cable: hottest of build, space and bundle; all of its
    bundle loaded.
    """
    description = network.description
    air = [(description.build.ambient_c, "build")]
    insulation_m = 0.0
    if cable.space:
        space = description.spaces[cable.space]
        insulation_m = space.insulation_around_m or 0.0
        if space.ambient_c is not None:
            air.append((space.ambient_c, "space"))
    arrangement, circuits = None, 1
    if cable.bundle:
        bundle = description.bundles[cable.bundle]
        arrangement = bundle.arrangement
        circuits = circuits_in(network, cable.bundle)
        if bundle.ambient_c is not None:
            air.append((bundle.ambient_c, "bundle"))
    ambient_c, origin = max(air)
    return Surroundings(ambient_c, origin, arrangement, circuits, insulation_m)


def circuits_in(network: Network, bundle: str) -> int:
    """Return the number of loaded circuits of a bundle; two single-core cables make one."""
    loaded = [c for c in network.cables.values() if c.bundle == bundle and c.kind not in ("earth", "bond")]
    singles = sum(len(c.cores) == 1 for c in loaded)
    return max(1, len(loaded) - singles + (singles + 1) // 2)


def capacity(cable: Cable, size: Size, around: Surroundings, rules: RuleSet) -> Capacity:
    """Return I_z of `cable` if it had conductors of `size`; zero where it is too hot for any current."""
    assumptions: list[Assumption] = []

    def look(code: str, call: Callable[[], Looked]) -> Looked:
        try:
            return call()
        except NoRowError as missing:
            found = missing.nearest or Looked(0.0, "", "assumed", missing.asked)
            fields: dict[str, object] = {"asked": missing.asked, "used": found.note}
            assumptions.append(Assumption(code, (cable.id,), fields, found.source))
            return found

    method = reference_method(cable.method, single_core=len(cable.cores) == 1)
    loaded = 3 if len(cable.live) > 2 else 2
    insulation = cable.insulation.split()[0]
    tabulated = look(
        "nearest-capacity",
        lambda: current_carrying_capacity(insulation, cable.conductor_temp_c, method, loaded, size.mm2),
    )
    ambient = look("nearest-ambient", lambda: ambient_factor(cable.conductor_temp_c, around.ambient_c))
    grouping = look("nearest-grouping", lambda: _grouping(around))
    covered = thermal_insulation_factor(around.insulation_m * 1000)
    factors = (tabulated, ambient, grouping, covered)
    inputs = (
        Input("I_t", tabulated.value, "A", "table"),
        Input("C_a", ambient.value, "", "table"),
        Input("C_g", grouping.value, "", "table"),
        Input("C_i", covered.value, "", "table"),
        Input("θ_a", around.ambient_c, "°C", around.ambient_origin),
        Input("n", around.circuits, "", "bundle" if around.arrangement else "alone"),
        Input("l_i", around.insulation_m, "m", "space" if around.insulation_m else "alone"),
    )
    result = tabulated.value * ambient.value * grouping.value * covered.value
    working = Working(
        subject=cable.id,
        quantity="capacity",
        symbol="I_z",
        formula="I_t · C_a · C_g · C_i",
        inputs=inputs,
        result=result,
        unit="A",
        source="; ".join(dict.fromkeys(f.source for f in factors if f.source and f.value != 1)),
        note="; ".join(
            (f"{size.designation}, method {method}", *(f.note for f in factors if f.verified == "assumed"))
        ),
        verified=weakest(*(f.verified for f in factors)),
    )
    return Capacity(
        result,
        replace(working, source=working.source or rules.clause("current-carrying capacity")),
        tuple(assumptions),
    )


def _grouping(around: Surroundings) -> Looked:
    if around.arrangement is None or around.circuits == 1:
        return Looked(1.0, "", "read")
    if around.arrangement == "spaced":
        return Looked(
            1.0, "IEC 60364-5-52:2009 Table B.52.17", "read", "spaced by more than twice the diameter"
        )
    return grouping_factor(around.arrangement, around.circuits)
