"""Current-carrying capacity of a cable where it lies: the tabulated value times its factors, by the rule
set.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

from asfitted.description.values import Size
from asfitted.network.model import Cable, Network
from asfitted.studies.results import Assumption, Input, Working
from asfitted.tables.looked import Looked, NoRowError, weakest
from asfitted.tables.rules.rule_set import Laid, RuleSet


@dataclass(frozen=True)
class Surroundings:
    """What takes heat away from a cable, or does not: the hottest air on its way, its neighbours, insulation
    around it, an engine beside it; and what the terminals at its ends are marked for.
    """

    ambient_c: float
    ambient_origin: str
    arrangement: str | None = None
    circuits: int = 1
    conductors: int = 2
    insulation_m: float = 0.0
    engine_space: bool = False
    terminals_c: float | None = None


@dataclass(frozen=True)
class Capacity:
    """The capacity in A of a cable of one size in its surroundings; `uncorrected_a` is the printed one,
    within the limit of its terminals, before any factor. `missing` is what the rules print no row for, so that
    nothing can be said to be carried.
    """

    current_a: float
    working: Working
    assumptions: tuple[Assumption, ...]
    uncorrected_a: float = math.inf
    missing: str = ""


def surroundings(network: Network, cable: Cable) -> Surroundings:
    """Return the worst surroundings on the way of a cable: hottest of build, space and bundle; all of its
    bundle loaded.
    """
    description = network.description
    air = [(description.build.ambient_c, "build")]
    insulation_m, engine = 0.0, False
    if cable.space:
        space = description.spaces[cable.space]
        insulation_m, engine = space.insulation_around_m or 0.0, space.engine is not None
        if space.ambient_c is not None:
            air.append((space.ambient_c, "space"))
    arrangement, circuits, conductors = None, 1, len(cable.live)
    if cable.bundle:
        bundle = description.bundles[cable.bundle]
        arrangement = bundle.arrangement
        circuits = circuits_in(network, cable.bundle)
        conductors = sum(len(c.live) for c in _loaded_in(network, cable.bundle))
        if bundle.ambient_c is not None:
            air.append((bundle.ambient_c, "bundle"))
    ambient_c, origin = max(air)
    return Surroundings(
        ambient_c,
        origin,
        arrangement,
        circuits,
        conductors,
        insulation_m,
        engine,
        _terminals_c(network, cable),
    )


def _terminals_c(network: Network, cable: Cable) -> float | None:
    """Return the lowest marking of the terminals at a cable's ends; None if one of them has none."""
    owners = {network.owner[end] for core in cable.live for end in (core.a, core.b)}
    marked = [network.items[owner].spec.terminals_c for owner in owners]
    return None if None in marked else min((t for t in marked if t is not None), default=None)


def _loaded_in(network: Network, bundle: str) -> list[Cable]:
    return [c for c in network.cables.values() if c.bundle == bundle and c.kind not in ("earth", "bond")]


def circuits_in(network: Network, bundle: str) -> int:
    """Return the number of loaded circuits of a bundle; two single-core cables make one."""
    loaded = _loaded_in(network, bundle)
    singles = sum(len(c.cores) == 1 for c in loaded)
    return max(1, len(loaded) - singles + (singles + 1) // 2)


def laid(cable: Cable, size: Size, around: Surroundings) -> Laid:
    """Return a conductor of `size` where `cable` lies, as the tables ask for it."""
    return Laid(
        size=size,
        insulation=cable.insulation.split()[0],
        conductor_temp_c=cable.conductor_temp_c,
        way=cable.method,
        single_core=len(cable.cores) == 1,
        loaded=3 if len(cable.live) > 2 else 2,
        length_m=cable.length_m,
        ambient_c=around.ambient_c,
        arrangement=around.arrangement,
        circuits=around.circuits,
        conductors=around.conductors,
        insulation_m=around.insulation_m,
        engine_space=around.engine_space,
        extra_low=cable.kind in ("dc", "plus", "minus"),
        terminals_c=around.terminals_c,
    )


def capacity(cable: Cable, size: Size, around: Surroundings, rules: RuleSet) -> Capacity:
    """Return I_z of `cable` if it had conductors of `size`; zero where it is too hot for any current."""
    assumptions: list[Assumption] = []
    without_row: list[str] = []

    def look(code: str, call: Callable[[], Looked]) -> Looked:
        try:
            return call()
        except NoRowError as missing:
            if missing.nearest is None:
                without_row.append(missing.asked)
                return Looked(0.0, "", "assumed", missing.asked)
            found = missing.nearest
            fields: dict[str, object] = {"asked": missing.asked, "used": found.note}
            assumptions.append(Assumption(code, (cable.id,), fields, found.source))
            return found

    placed = laid(cable, size, around)
    factors = {part.symbol: look(part.code, part.look) for part in rules.parts(placed)}
    result = math.prod(f.value for f in factors.values())
    formula, used = " · ".join(factors), list(factors.values())
    inputs = [
        Input(symbol, found.value, "A" if symbol == "I_t" else "", "table")
        for symbol, found in factors.items()
    ]
    uncorrected = factors["I_t"].value
    top = rules.ceiling(placed)
    if top:
        limit = look(top.code, top.look)
        result, uncorrected = min(result, limit.value), min(uncorrected, limit.value)
        formula = f"min({formula}, {top.symbol})"
        inputs.append(Input(top.symbol, limit.value, "A", "terminals"))
        used.append(limit)
    inputs += [
        Input("θ_a", around.ambient_c, "°C", around.ambient_origin),
        Input("n", around.circuits, "", "bundle" if around.arrangement else "alone"),
        Input("l_i", around.insulation_m, "m", "space" if around.insulation_m else "alone"),
    ]
    noted = (f.note for f in used if f.note and (f.verified == "assumed" or top))
    working = Working(
        subject=cable.id,
        quantity="capacity",
        symbol="I_z",
        formula=formula,
        inputs=tuple(inputs),
        result=result,
        unit="A",
        source="; ".join(dict.fromkeys(f.source for f in used if f.source and f.value != 1))
        or rules.clause("current-carrying capacity"),
        note="; ".join(dict.fromkeys((f"{size.designation}, {cable.method}", *noted))),
        verified=weakest(*(f.verified for f in used)),
    )
    return Capacity(result, working, tuple(assumptions), uncorrected, "; ".join(dict.fromkeys(without_row)))
