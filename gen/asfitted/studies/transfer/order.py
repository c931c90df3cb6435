"""The order of events when a supply goes and when it comes back: moments, and what is on between them.

Only the whole of a change is known, not its parts: moments are in order, never to scale.
"""

from dataclasses import dataclass
from typing import Literal

from asfitted.network.model import Network
from asfitted.studies.transfer.changeovers import Changeover
from asfitted.studies.transfer.ride import Fate, Ride
from asfitted.studies.transfer.ways import Side, other

#: goes: the supply is lost; back: it is there again; opens: one contact lets go; bond closes, bond opens: the relay
#: between neutral and earth; closes: the other contact takes; starts: what waited starts again
Event = Literal["goes", "back", "opens", "bond closes", "bond opens", "closes", "starts"]
Look = Literal["on", "idle", "held"]
LaneKind = Literal["supply", "contact", "bond", "load"]


@dataclass(frozen=True)
class Span:
    """A stretch between two moments, counted from 0; −1 is before the first, and `to` may be one past the last.

    on: live or closed; idle: closed, but feeding nothing; held: running on without voltage.
    """

    from_: int
    to: int
    look: Look = "on"


@dataclass(frozen=True)
class Lane:
    """One row of a time line: what it shows, of which equipment, and its spans. `fate` is that of a load."""

    kind: LaneKind
    of: str
    spans: tuple[Span, ...]
    fate: Fate | None = None


@dataclass(frozen=True)
class Dimension:
    """A length of time between two moments; None where nobody says it. `what`: gap or delay."""

    from_: int
    to: int
    what: Literal["gap", "delay"]
    time_s: float | None
    basis: str


@dataclass(frozen=True)
class TimeLine:
    """One change: from which source to which, its events in order, its lanes."""

    switch: str
    lost: bool
    from_: str
    to: str
    events: tuple[Event, ...]
    lanes: tuple[Lane, ...]
    dimensions: tuple[Dimension, ...]


def time_lines(network: Network, found: Changeover, rides: tuple[Ride, ...]) -> tuple[TimeLine, ...]:
    """Return the time line of the loss of the preferred source and that of its return; none without two sources."""
    if not found.crossings or not found.loads:
        return ()
    supply, stand_in = found.crossings[0]
    away = other(found.preferred)
    return (
        _line(network, found, rides, supply, stand_in, away),
        _line(network, found, rides, supply, stand_in, found.preferred),
    )


def _line(
    network: Network, found: Changeover, rides: tuple[Ride, ...], supply: str, stand_in: str, to: Side
) -> TimeLine:
    lost = to != found.preferred
    relay = next((b.when == "inverting" for b in network.bonds if b.equipment == stand_in), None)
    own = [r for r in rides if r.to == to]
    waits = any(r.fate == "delays" for r in own)
    events: list[Event] = ["goes" if lost else "back", "opens"]
    if relay:
        events.append("bond closes" if lost else "bond opens")
    events.append("closes")
    end = len(events) - 1
    events += ["starts"] if waits else []
    after = len(events)
    lanes = [
        Lane("supply", supply, (Span(-1, 0),) if lost else (Span(0, after),)),
        Lane("contact", supply, (Span(-1, 1),) if lost else (Span(end, after),)),
        Lane("contact", stand_in, (Span(end, after),) if lost else (Span(-1, 1),)),
    ]
    if relay is not None:
        lanes.append(Lane("bond", stand_in, _bond(relay, lost, end, after)))
    gap_from = 0 if lost else 1
    lanes += [Lane("load", f"{r.outlet}.{r.name}", _load(r, gap_from, end, after), r.fate) for r in own]
    way = found.to(to)
    dimensions = [Dimension(gap_from, end, "gap", way.judged_s, way.basis)]
    if not lost:
        pick_up = getattr(found.item.spec, "picks_up_above", None)
        dimensions.insert(0, Dimension(0, 1, "delay", pick_up.delay_s if pick_up else None, ""))
    first, second = (supply, stand_in) if lost else (stand_in, supply)
    return TimeLine(found.item.id, lost, first, second, tuple(events), tuple(lanes), tuple(dimensions))


def _bond(relay: bool, lost: bool, end: int, after: int) -> tuple[Span, ...]:
    """The link of the stand-in: a relay follows it; a fixed one is closed all along and idle while it feeds nothing."""
    if relay:
        return (Span(2, after),) if lost else (Span(-1, 2),)
    return (Span(-1, end, "idle"), Span(end, after)) if lost else (Span(-1, 1), Span(1, after, "idle"))


def _load(ride: Ride, gap_from: int, end: int, after: int) -> tuple[Span, ...]:
    before = Span(-1, gap_from)
    if ride.fate == "rides":
        return before, Span(gap_from, end, "held"), Span(end, after)
    if ride.fate in ("waits", "not known"):
        return (before,)
    return before, Span(after - 1 if ride.fate == "delays" else end, after)
