"""Playing single faults in the tests: at named terminals, through a given resistance, with things broken."""

from dataclasses import dataclass

from asfitted.network.equivalent import Equivalent
from asfitted.network.states import State
from asfitted.studies.faults.fault import Fault, FaultKind
from asfitted.studies.faults.sequence import begin, play
from asfitted.studies.faults.stage import Bench, Switched
from asfitted.studies.faults.touch import Metalwork, metalwork
from asfitted.studies.faults.units import Units
from asfitted.studies.faults.verdict import Judged, judge


@dataclass(frozen=True)
class Playing:
    """One state of one circuit, at which faults are played."""

    bench: Bench
    state: State
    metal: Metalwork | None

    def fault(
        self, a: str = "", b: str = "", ohm: float = 0.01, broken: tuple[str, ...] = (), kind: FaultKind = "live to case",
        limit_s: float = 0.4, phases: tuple[float, ...] = (), also: tuple[tuple[str, str, float], ...] = (),
    ) -> Judged:  # fmt: skip
        """Play a resistance between two terminals, with some branches broken and others added; judge it."""
        node = self.bench.equivalent.node_of
        port = (node.get(a, a), node.get(b, b)) if a else None
        fault = Fault(kind, a, (a.split(".")[0],), port, ohm, frozenset(broken), self.bench.direct)
        start = phases or (1.0,) * len(self.bench.adjustable)
        run = begin(self.bench, fault, start, Switched(self.state))
        run.ports += tuple(((node.get(x, x), node.get(y, y)), z) for x, y, z in also)
        runs = play(self.bench, [run], self.metal, False)
        return judge(self.bench, self.metal, runs, [limit_s])[0]


def playing(circuit: Equivalent, state: State, direct: bool = False) -> Playing:
    return Playing(Bench(circuit, Units(circuit), direct), state, metalwork(circuit, state))


def acted(judged: Judged) -> list[tuple[str, float]]:
    """Return what acted and when, in order."""
    return [(name, round(step.end_s, 4)) for step in judged.run.steps for name in step.acted]


def residual_a(judged: Judged, bench: Bench, device: str, step: int = 0) -> float:
    names = [d.id for d in bench.units.devices]
    return float(judged.run.steps[step].residual_a[names.index(device)])
