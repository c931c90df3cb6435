"""What starts by itself when voltage comes back, wherever it hangs: whatever heats, and whatever turns.

Not only behind a changeover: a heater on the supply's own side goes out with the site and heats again with it.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from asfitted.description.kinds import Battery, Load, Sockets
from asfitted.network.model import Item, Network
from asfitted.network.states import State
from asfitted.studies.results import Assumption, Finding, Grade
from asfitted.studies.transfer.changeovers import Behind


@dataclass(frozen=True)
class Returning:
    """A load that heats or turns, with the sources whose loss it feels and which may come back."""

    behind: Behind
    sources: tuple[str, ...]

    @property
    def by_itself(self) -> bool:
        """Whether it goes on by itself; what nobody says is taken to."""
        return self.behind.load.restarts != "by hand"

    @property
    def moves(self) -> bool:
        """Whether it turns without a rest of its own: what a hand may be in, and a fan or pump as well."""
        return self.behind.turns and self.behind.load.duty != "compressor"


def returning(network: Network, states: tuple[State, ...]) -> tuple[Returning, ...]:
    """Return every load that heats or turns and whose supply can go and come, in the order of the description."""
    settled = tuple(state for state in states if not state.in_transit)
    found = []
    for item in network.of_kind("load", "sockets", "GFCI receptacle"):
        assert isinstance(item.spec, Load | Sockets)  # noqa: S101  (asked for by kind)
        loads = [Behind(item.id, name, load) for name, load in item.spec.loads.items()]
        wanted = [behind for behind in loads if behind.heats or behind.turns]
        sources = _sources(network, settled, item) if wanted else ()
        found += [Returning(behind, sources) for behind in wanted if sources]
    return tuple(found)


def _sources(network: Network, settled: tuple[State, ...], item: Item) -> tuple[str, ...]:
    ac = [source for state in settled for source, fed in state.feeding.items() if item.id in fed]
    direct = [
        other.id
        for other in network.of_kind("battery", "dc supply")
        if _goes_and_comes(other)
        and any(s.live_potentials.same(f"{other.id}.plus", f"{item.id}.plus") for s in settled)
    ]
    return tuple(dict.fromkeys((*ac, *direct)))


def _goes_and_comes(source: Item) -> bool:
    """A battery comes back by itself if its own protection opens and closes; lead-acid without one only sags."""
    spec = source.spec
    return not isinstance(spec, Battery) or spec.has_protection


def returning_findings(network: Network, found: tuple[Returning, ...]) -> Iterator[Finding]:
    """Yield heaters that are said to go on by themselves, machines that do, and machines of which nobody says."""
    for each in found:
        behind = each.behind
        machine = behind.load.duty == "machine"
        where, mark = (behind.outlet,), network.items[behind.outlet].mark
        fields: dict[str, object] = {"load": behind.name}
        said = behind.load.restarts == "by itself" or bool(behind.load.restart_delay_s)
        if machine and said:
            yield Finding("machine-restarts", Grade.POTENTIAL, where, mark, fields=fields)
        elif machine and each.by_itself:
            yield Finding("machine-restart-not-stated", Grade.INVESTIGATION, where, mark, fields=fields)
        elif behind.heats and said:
            yield Finding("heater-restarts", Grade.IMPROVEMENT, where, mark, fields=fields)


def returning_assumptions(found: tuple[Returning, ...]) -> tuple[Assumption, ...]:
    """Return what was taken where nobody says whether a heater or a motor goes on by itself: that it does."""
    open_ = [r for r in found if r.behind.load.restarts is None and not r.behind.load.restart_delay_s]
    groups = {
        "heaters-restart": [r.behind for r in open_ if r.behind.heats],
        "motors-restart": [r.behind for r in open_ if r.moves and r.behind.load.duty != "machine"],
    }
    return tuple(
        Assumption(
            code,
            tuple(dict.fromkeys(b.outlet for b in behind)),
            {"loads": ", ".join(dict.fromkeys(b.name for b in behind))},
        )
        for code, behind in groups.items()
        if behind
    )
