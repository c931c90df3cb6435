"""What is known of a source as part of an earth fault loop: of a supply at each of its sites, of a source aboard."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from asfitted.description.kinds import AcSupply, SiteVariant
from asfitted.network.model import Item
from asfitted.studies.disconnection import INSTANTANEOUS_S, Disconnection
from asfitted.tables.devices import instantaneous_band, rcd_time_s

#: a loop through two electrodes is never less (IEC 60364-4-41 411.5: soil, from memory)
LEAST_TT_OHM = 1.0


@dataclass(frozen=True)
class LoopSupply:
    """What is known of a source as a loop."""

    system: Literal["TN", "TT", "IT", "limited"]
    loop_max_ohm: float | None
    fault_max_a: float | None
    upstream: Disconnection | None
    upstream_breaker: tuple[str | None, float] | None


def loop_supplies(item: Item) -> Iterator[tuple[str, LoopSupply]]:
    """Yield the usual site of a supply and each named one; a source aboard has one."""
    spec = item.spec
    if not isinstance(spec, AcSupply):
        yield "", LoopSupply("limited", None, None, None, None)
        return
    variants: dict[str, AcSupply | SiteVariant] = {"": spec, **spec.at}
    for name, variant in variants.items():
        earthing = variant.earthing or spec.earthing
        upstream = variant.upstream or spec.upstream
        usual = spec.loop_impedance_max_ohm if earthing == spec.earthing else None
        loop = variant.loop_impedance_max_ohm or usual
        if earthing == "TT" and loop is not None and loop < LEAST_TT_OHM:
            loop = None  # what is given there is the loop of line and neutral: it does not pass through soil
        residual = None
        if upstream.residual_a:
            time = rcd_time_s("none", 5, "longest")
            residual = Disconnection(
                item.id, time.value, 5 * upstream.residual_a, time.source, upstream.residual_a
            )
        yield (
            name,
            LoopSupply(
                "TT" if earthing == "TT" else "IT" if earthing == "IT" else "TN",
                loop,
                variant.fault_current_max_a or spec.fault_current_max_a,
                residual,
                (upstream.curve, upstream.rating_a),
            ),
        )


def site_release(source: str, supply: LoopSupply) -> tuple[Disconnection, ...]:
    """Return the overcurrent release of the site's own breaker; nothing where its curve is not known."""
    if supply.upstream_breaker is None or supply.upstream_breaker[0] is None:
        return ()
    band = instantaneous_band(supply.upstream_breaker[0])
    return (Disconnection(source, INSTANTANEOUS_S, band.high * supply.upstream_breaker[1], band.source),)
