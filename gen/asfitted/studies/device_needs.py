"""What a device must be rated for at least, check by check: load, lasting load, heat, surge, what hangs on it."""

from collections.abc import Callable, Iterator, Sequence

from asfitted.description.kinds import Breaker, Fuse, Inverter, Isolator, Load, Rcd, Sockets
from asfitted.network.model import Contact, Item
from asfitted.studies.device_temperature import warm_factors
from asfitted.studies.equipment_checks import let_through_a, receptacle_fits
from asfitted.studies.load_through import load_through
from asfitted.studies.protection import Feed, device_name, devices_before
from asfitted.studies.surge import shortest_s, surge_current_a, surge_v
from asfitted.studies.trial import Trial

#: current with which a small motor starts, as a multiple of that with which it runs, where its own is not said
#: (from memory, on the high side)
MOTOR_START = 8.0


def rating_needs(
    trial: Trial, feeds: tuple[Feed, ...], item: Item, standard: Sequence[float]
) -> dict[str, float]:
    """Return check -> the least rating in A that passes it; the design current first.

    `standard` are the ratings in ascending order; a check that none of them passes asks for infinity.
    """
    through = load_through(trial, item.id)
    needs = {"design current": through.load_a}
    if trial.rules.continuous and isinstance(item.spec, Breaker | Fuse):
        needs["continuous load"] = through.required_a
    if isinstance(item.spec, Breaker):
        heat, beside = warm_factors(trial, item)
        needs["panel temperature"] = through.load_a / (heat.value * beside.value)
    if isinstance(item.spec, Isolator | Rcd):
        needs["device before"] = max((let_through_a(feed, item) for feed in feeds), default=0.0)
    if isinstance(item.spec, Fuse):
        needs |= _least("surge", standard, lambda rating: _stands_surges(trial, item, rating))
    if outlets := tuple(_receptacles(trial, feeds, item)):
        needs |= _least(
            "receptacles", standard, lambda rating: all(receptacle_fits(trial, o, rating) for o in outlets)
        )
    return needs


def _least(check: str, standard: Sequence[float], passes: Callable[[float], bool]) -> dict[str, float]:
    """Return the least standard rating that passes a check; nothing where the smallest of all does."""
    least = next((rating for rating in standard if passes(rating)), float("inf"))
    return {} if least == standard[0] else {check: least}


def _receptacles(trial: Trial, feeds: tuple[Feed, ...], item: Item) -> Iterator[Item]:
    """Yield the receptacles of which a device is the nearest one before them."""
    for outlet in trial.network.of_kind("sockets", "GFCI receptacle"):
        for feed in feeds:
            line = next((t for t in outlet.terminals if t in feed.tree.came and not t.endswith(".N")), None)
            if line and [d.id for d in devices_before(feed.tree, line, feed.source)][:1] == [item.id]:
                yield outlet
                break


def _stands_surges(trial: Trial, item: Item, rating_a: float) -> bool:
    """Tell whether a fuse of a rating stays whole while an inverter behind it delivers its surge."""
    for scenario in trial.scenarios:
        if scenario.mode != "discharge":
            continue
        out, _ = trial.trees(scenario)
        for injection in scenario.injections:
            spec = trial.network.items[injection.item].spec
            if not isinstance(spec, Inverter) or not spec.surge or injection.out not in out.came:
                continue
            if any(isinstance(e, Contact) and e.equipment == item.id for e in out.way(injection.out)):
                surge = surge_current_a(spec, surge_v(trial, scenario, spec, injection.out, injection.back))
                shortest = shortest_s(device_name(item.spec), rating_a, surge)
                if shortest is not None and shortest < spec.surge.duration_s:
                    return False
    return True


def starting_a(trial: Trial, item: Item) -> float:
    """Return the largest current through a device while what starts hardest behind it starts; zero if nothing does."""
    largest = 0.0
    for scenario in trial.scenarios:
        out, _ = trial.trees(scenario)
        passing = [
            i
            for i in scenario.injections
            if i.out in out.came
            and any(isinstance(e, Contact) and e.equipment == item.id for e in out.way(i.out))
        ]
        rise = max((_start_rise_a(trial, i.item, abs(i.current_a)) for i in passing), default=0.0)
        if rise:
            largest = max(largest, abs(sum((i.current_a for i in passing), 0j)) + rise)
    return largest


def _start_rise_a(trial: Trial, consumer: str, current_a: float) -> float:
    """Return by how much the current of a consumer rises while one of its loads starts, at most; the running current
    of each is its share by power.
    """
    spec = trial.network.items[consumer].spec
    if not isinstance(spec, Load | Sockets):
        return 0.0
    weights = {name: load.power_w or load.current_a or 0.0 for name, load in spec.loads.items()}
    whole = sum(weights.values()) or 1.0
    rises = [0.0]
    for name, load in spec.loads.items():
        running = current_a * weights[name] / whole
        if load.starting:
            rises.append(load.starting.current_a - running)
        elif load.duty in ("motor", "machine", "compressor"):
            rises.append((MOTOR_START - 1) * running)
    return max(rises)
