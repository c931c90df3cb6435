"""Which devices lie between a place and the source that feeds it: theirs are the reasons why a fault stays."""

from collections import deque
from collections.abc import Mapping
from dataclasses import dataclass

from asfitted.studies.faults.stage import Bench, Switched

#: what carries the current of a load on its way from the source
CARRIES = ("pole", "contact", "core", "winding", "source")


@dataclass(frozen=True)
class Feeder:
    """The source that feeds a node and the numbers of the devices between them, the nearest to the node first."""

    source: str
    devices: tuple[int, ...]


def feeders(bench: Bench, switched: Switched) -> Mapping[str, Feeder]:
    """Return for each node that a source feeds its feeder, as the contacts stand before anything opens."""
    circuit = bench.equivalent.circuit
    on = bench.equivalent.closed(switched.state)
    earth = set(bench.protective)
    around: dict[str, list[tuple[str, int]]] = {}
    for number, branch in enumerate(circuit.branches):
        protective = number in earth or branch.id.endswith(("#PE", "PEN to PE"))
        if on[number] and branch.kind in CARRIES and not protective:
            around.setdefault(branch.a, []).append((branch.b, number))
            around.setdefault(branch.b, []).append((branch.a, number))
    owner = {branch: k for k, device in enumerate(bench.units.devices) for branch in device.summed}
    found: dict[str, Feeder] = {}
    waiting: deque[tuple[str, Feeder]] = deque()
    for source, branches in _roots(bench, switched):
        for number in branches:
            branch = circuit.branches[number]
            waiting.extend((end, Feeder(source, ())) for end in (branch.a, branch.b) if on[number])
    while waiting:
        node, feeder = waiting.popleft()
        if node in found:
            continue
        found[node] = feeder
        for other, number in around.get(node, ()):
            device = owner.get(number)
            passed = (device, *feeder.devices) if device is not None else feeder.devices
            waiting.append((other, Feeder(feeder.source, tuple(dict.fromkeys(passed)))))
    return found


def _roots(bench: Bench, switched: Switched) -> list[tuple[str, tuple[int, ...]]]:
    """Return the sources that give voltage with their branches; of direct current the batteries first."""
    if bench.direct:
        branches = bench.equivalent.circuit.branches
        return [(branches[n].of, (n,)) for group in bench.groups for n, _ in group]
    on = bench.equivalent.energised(switched.state)
    groups = zip(bench.sources, bench.groups, on, strict=True)
    return [(source.id, tuple(n for n, _ in group)) for source, group, alive in groups if alive]
