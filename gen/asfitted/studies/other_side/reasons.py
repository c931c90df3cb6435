"""Why a circuit changes when it goes to the other side: each reason with its clause."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from asfitted.description.kinds import GfciBreaker, GfciReceptacle, Rcbo, Sockets
from asfitted.network.model import Cable, Item
from asfitted.studies.auto_device import Choice
from asfitted.studies.cable_findings import ampacity_a
from asfitted.studies.equipment_checks import receptacle_fits
from asfitted.studies.other_side.ends import End
from asfitted.studies.other_side.places import Places
from asfitted.studies.protection import devices_before
from asfitted.studies.settled import Settled
from asfitted.studies.trial import standard_sizes
from asfitted.tables.looked import rows
from asfitted.tables.sides import Side

#: what a device is chosen by -> the check whose clause asks for it; all others take the next standard rating
ASKED = {"continuous load": "continuous device", "receptacles": "receptacles"}
#: what a size is chosen by -> the check whose clause asks for it
GOVERNED = {
    "overload": "overload",
    "design current": "design current",
    "continuous load": "continuous conductor",
    "conventional current": "overload",
    "voltage drop": "voltage drop",
    "unprotected length": "short-circuit device position",
    "least size": "smallest conductor",
}


@dataclass(frozen=True)
class Why:
    """A reason: a key of the `other_side` words, the clause, and what fills the sentence."""

    code: str
    clause: str = ""
    fields: tuple[tuple[str, object], ...] = ()


def device_reasons(
    settled: Settled, choices: tuple[Choice, ...], stand: Places, was: Item, device: Item
) -> Iterator[Why]:
    """Yield why a device `was` of here is there what it is: its kind, then its rating."""
    yield from _kind(settled, stand, was, device)
    choice = next((c for c in choices if (c.device, c.field) == (device.id, "rating")), None)
    rules = settled.trial.rules
    if choice is None:
        yield Why("main", rules.clause("overload"))
    elif choice.governed_by in ASKED:
        yield Why(choice.governed_by, rules.clause(ASKED[choice.governed_by]))
    elif choice.governed_by in ("no rating", "panel temperature"):
        yield Why(choice.governed_by)
    else:
        yield Why("next rating", _series(settled))
    outlets = [
        settled.trial.network.items[id_] for id_, before in stand.outlets.items() if before == device.id
    ]
    if not all(receptacle_fits(settled.trial, outlet, _rating_a(device)) for outlet in outlets):
        yield Why("outlets refuse", rules.clause("receptacles"), (("rating_a", _rating_a(device)),))
    if rules.receptacles_a and _feeds_behind(settled, device):
        yield Why("feeder", rules.clause("receptacles"), (("rating_a", _rating_a(device)),))


def _kind(settled: Settled, stand: Places, was: Item, device: Item) -> Iterator[Why]:
    rules, network = settled.trial.rules, settled.trial.network
    behind = [network.items[outlet].spec for outlet, id_ in stand.outlets.items() if id_ == device.id]
    if any(isinstance(spec, GfciReceptacle) for spec in behind):
        yield Why("GFCI receptacle", rules.clause("socket RCD"))
    elif isinstance(device.spec, GfciBreaker) and isinstance(was.spec, Rcbo):
        yield Why("GFCI breaker", rules.clause("socket RCD"))
    elif isinstance(device.spec, Rcbo) and isinstance(was.spec, Rcbo):
        yield Why("main on leakage", rules.clause("cable ahead of RCD"))
    elif isinstance(device.spec, Rcbo):
        yield Why("RCBO", rules.clause("socket RCD"))
    elif isinstance(was.spec, Rcbo):
        yield Why("plain breaker")


def _series(settled: Settled) -> str:
    """Return the standard that lists the ratings of circuit-breakers."""
    name = settled.trial.rules.ratings
    return next(r["source"] for r in rows(name or "ratings") if name or r["device"] == "breaker")


def _rating_a(device: Item) -> float:
    return float(getattr(device.spec, "rating_a", 0.0))


def _feeds_behind(settled: Settled, device: Item) -> bool:
    """Tell whether a device too large for usual receptacles feeds some through smaller devices."""
    allowed = settled.trial.rules.receptacles_a
    if allowed is None or {15.0, 20.0} & set(allowed(_rating_a(device))):
        return False
    for outlet in settled.trial.network.items.values():
        if not isinstance(outlet.spec, Sockets):
            continue
        for feed in settled.feeding:
            line = next((t for t in outlet.terminals if t in feed.tree.came), None)
            chain = [d.id for d in devices_before(feed.tree, line, feed.source)] if line else []
            if device.id in chain[1:]:
                return True
    return False


def outlet_reasons(there: Side, loads_a: Iterable[float]) -> Iterator[Why]:
    """Yield why an outlet has the rating it has there: the largest of the appliances on it, by their current there."""
    largest_a = max(loads_a, default=0.0)
    if outlet := there.outlet_for(largest_a):
        yield Why("outlet", outlet.source, (("rating_a", outlet.rating_a), ("load_a", outlet.load_a)))


def size_reasons(settled: Settled, cable: Cable, there: End) -> Iterator[Why]:
    """Yield why the conductors of an a.c. cable have there the size they have."""
    governs = settled.governs[cable.id]
    if governs == "no size":
        yield Why("no size")
    elif small := _small_conductor(settled, cable, there):
        yield small
    else:
        yield Why(f"size by {governs}", settled.trial.rules.clause(GOVERNED[governs]))


def _small_conductor(settled: Settled, cable: Cable, there: End) -> Why | None:
    """Return the rule for small conductors where it, and not what the next smaller one carries, refused that one."""
    trial = settled.trial
    sizes = [s for s in standard_sizes(trial.network, trial.rules, cable) if s.mm2 < there.size.mm2]
    if not sizes or there.device_a is None:
        return None
    carries = trial.capacity_of(cable, sizes[-1])
    permitted = trial.permitted_of(cable, sizes[-1], carries.current_a)
    if permitted.rule != "small conductor" or permitted.rating_a >= there.device_a:
        return None
    fields = (
        ("smaller", sizes[-1].designation),
        ("held_a", permitted.rating_a),
        ("carries_a", round(ampacity_a(carries), 1)),
        ("device_a", there.device_a),
    )
    return Why("small conductor", trial.rules.clause("small conductor"), fields)
