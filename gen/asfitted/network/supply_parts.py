"""A site's supply in an equivalent circuit: transformer, neutral point and its electrode, each conductor
with its share.

One impedance for the whole loop would give the current and no touch voltage: what a person feels is the share
of the protective conductor.
"""

from asfitted.description.kinds import AcSupply
from asfitted.network.circuit import EARTH, LEAST_OHM, Branch
from asfitted.network.parts import Parts, Source
from asfitted.network.sites import Site

#: taken for the conductors up to an outlet whose loop nobody gives, or whose loop goes through soil
UNKNOWN_LOOP_OHM = 0.8


def upstream_device(supply: str) -> str:
    """Return the name of the device that protects the outlet of a supply."""
    return f"{supply} upstream"


def add_supply(parts: Parts, site: Site, terminals: dict[str, str]) -> None:
    """Add a supply; `terminals` gives the node of each of its conductors that is connected."""
    id_, spec = site.supply, site.spec
    star = f"{id_}#star"
    loop = _loop_ohm(parts, site)
    inner = parts.default("source share", id_) * loop
    share = (loop - inner) / 2
    factor = parts.default("voltage factor", id_)
    lines = [c for c in ("L", "L1", "L2") if c in terminals]
    emf = spec.voltage_v * factor
    live = [("L1", emf), ("L2", -emf)] if len(lines) == 2 else [("L", emf)]
    if site.line_to_line:
        live = [("L", emf / 2), ("N", -emf / 2)]
    branches = []
    for conductor, volts in live:
        name = f"{id_}#{conductor}"
        parts.add(
            Branch(f"{name} source", star, f"{name} winding", "source", r_ohm=max(inner, LEAST_OHM),
                   x_ohm=0.0, emf_v=volts, of=id_, source=id_)
        )  # fmt: skip
        parts.resistor(f"{name} line", f"{name} winding", f"{name} outlet", "core", share, id_)
        branches.append(f"{name} source")
    parts.sources.append(Source(id_, tuple(branches), "stiff"))
    neutral = f"{id_}#N outlet"
    if not site.line_to_line:
        first = f"{id_}#{live[0][0]} winding"
        _add_neutral(parts, site, star, neutral, share, terminals.get("PE"), first)
    _add_earth(parts, site, star, share, terminals.get("PE"))
    outlets = {conductor: f"{id_}#{conductor} outlet" for conductor, _ in live} | {"N": neutral}
    if len(lines) == 1:
        outlets[lines[0]] = outlets.pop("L") if "L" in outlets else outlets[lines[0]]
    if site.reversed_ and lines and "N" in terminals:
        outlets[lines[0]], outlets["N"] = outlets["N"], outlets[lines[0]]
    for conductor, node in terminals.items():
        if conductor in outlets:
            rating = spec.upstream.rating_a
            pole = parts.default("pole up to 16 A" if rating <= 16 else "pole up to 63 A", id_)
            device = upstream_device(id_)
            parts.resistor(f"{device}.{conductor}", outlets[conductor], node, "pole", pole, device)


def live_loop_ohm(spec: AcSupply, earthed: bool = True) -> float:
    """Return the largest impedance of line and neutral up to the outlet of a supply; 0.8 ohm where nobody says."""
    most = spec.loop_impedance_max_ohm
    if most is None or spec.earthing in ("TT", "IT") or not earthed:
        # the loop given for such a place goes through soil: it says nothing about the conductors
        return min(most or UNKNOWN_LOOP_OHM, UNKNOWN_LOOP_OHM)
    return float(most)


def _loop_ohm(parts: Parts, site: Site) -> float:
    """Return the loop of line and neutral (or line and protective conductor of a TN site) up to the
    outlet.
    """
    spec = site.spec
    most = live_loop_ohm(spec, site.earthed)
    if parts.bound == "least" or spec.fault_current_max_a is None:
        return float(most if parts.bound == "least" else most / 4)
    factor = parts.default("voltage factor", site.supply)
    return float(min(most, spec.voltage_v * factor / spec.fault_current_max_a))


def _add_neutral(
    parts: Parts, site: Site, star: str, outlet: str, share: float, earth: str | None, line: str
) -> None:
    id_ = site.supply
    if site.spec.earthing != "TN-C-S":
        parts.resistor(f"{id_}#N line", star, outlet, "core", share, id_)
        return
    # neutral and protective conductor are one as far as the outlet: what breaks there breaks both
    pen, bond = f"{id_}#PEN outlet", parts.default("bond", id_)
    parts.resistor(f"{id_}#PEN", star, pen, "core", share, id_)
    # behind the same break hang others: with the PEN gone it is their load that lifts the build's metalwork
    watts = site.spec.neighbours_load_w or parts.default("neighbours", id_)
    parts.resistor(f"{id_}#neighbours", line, pen, "load", site.spec.voltage_v**2 / watts, id_)
    parts.resistor(f"{id_}#PEN to N", pen, outlet, "bond", bond, id_)
    if earth is not None and site.earthed:
        parts.resistor(f"{id_}#PEN to PE", pen, earth, "bond", bond, id_)


def _add_earth(parts: Parts, site: Site, star: str, share: float, earth: str | None) -> None:
    """Add the neutral point's electrode, and the protective conductor or the electrode of its own."""
    id_, spec = site.supply, site.spec
    at_source = spec.neutral_electrode_ohm or parts.default("neutral electrode", id_)
    if spec.earthing == "IT":
        at_source = parts.default("isolated neutral", id_)
    parts.resistor(f"{id_}#neutral electrode", star, EARTH, "electrode", at_source, id_)
    if earth is None or not site.earthed:
        return
    if spec.earthing == "TN-S":
        parts.resistor(f"{id_}#PE", star, earth, "core", share, id_)
    elif spec.earthing in ("TT", "IT"):
        given = spec.loop_impedance_max_ohm
        through_soil = given is not None and given > at_source + 1
        own = (
            given - at_source - share
            if through_soil and given is not None and parts.bound == "least"
            else parts.default("own electrode", id_)
        )
        parts.resistor(f"{id_}#electrode", earth, EARTH, "electrode", own, id_)
