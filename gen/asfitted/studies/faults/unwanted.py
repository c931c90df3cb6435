"""Why a device opens with nothing broken: by which way the load current comes back."""

from collections.abc import Iterator

from asfitted.description.kinds import Inverter
from asfitted.studies.bonding import islands
from asfitted.studies.faults.result import Reason
from asfitted.studies.faults.sequence import Run
from asfitted.studies.faults.stage import Bench, Case

#: a protective conductor with less than this share of the residual current is not the way back
ON_THE_WAY = 0.25


def unwanted(bench: Bench, run: Run) -> Iterator[Reason]:
    """Yield why something opens in service: an output that must not be earthed, several bonds, a neutral on the
    protective side, or the neutral of another circuit.
    """
    first = run.steps[0]
    network = bench.equivalent.network
    for unit in first.acted:
        spec = network.items[unit].spec if unit in network.items else None
        if isinstance(spec, Inverter) and spec.isolation == "not isolated":
            yield Reason("service-not-isolated", {"source": unit})
            return
    seen_a = float(first.residual_a.max(initial=0))
    if seen_a == 0:
        return
    stage = bench.solve([Case(first.switched, (), run.phases)])
    through_a = float(bench.greatest_a(stage, bench.protective)[0])
    current = {"current_a": float(f"{through_a:.3g}")}
    if through_a < ON_THE_WAY * seen_a:
        yield Reason("service-other-neutral")
        return
    fed = [island for island in islands(first.switched.state) if not island.idle]
    ties = [tie.at for island in fed if len(island.effective) > 1 for tie in island.effective]
    if ties:
        yield Reason("service-two-bonds", {**current, "bonds": ", ".join(dict.fromkeys(ties))})
    else:
        yield Reason("service-neutral-on-earth", current)
