"""What each load does in the gap: rides through, goes out and comes back, or waits for a hand."""

from dataclasses import dataclass
from typing import Literal

from asfitted.studies.transfer.changeovers import Behind, Changeover
from asfitted.studies.transfer.ways import SIDES, Side
from asfitted.tables.looked import Verified
from asfitted.tables.transfer import motor_start, tolerated_s

#: rides: goes on; drops: loses its memory and its time; blinks: dark for the gap; pauses: cools for the gap and goes on
#: by itself; waits: stays off until somebody switches it on; coasts: slows and starts again; delays: starts again
#: after its own wait; against pressure: a compressor that starts again at once
Fate = Literal[
    "rides", "drops", "blinks", "pauses", "waits", "coasts", "delays", "against pressure", "not known"
]


@dataclass(frozen=True)
class Ride:
    """One load in the gap of one way. `rides_s` is how long it goes on without voltage, None where that is
    not the question; `source` is where the figure comes from.
    """

    outlet: str
    name: str
    to: Side
    fate: Fate
    rides_s: float | None = None
    source: str = ""
    verified: Verified = "read"


def rides(found: Changeover) -> tuple[Ride, ...]:
    """Return the fate of every load behind a changeover, each way."""
    return tuple(ride(load, side, found.to(side).judged_s) for load in found.loads for side in SIDES)


def ride(behind: Behind, to: Side, gap_s: float | None) -> Ride:
    """Return what a load does in a gap of `gap_s`; None where nobody says how long it is."""
    load = behind.load
    if gap_s is None:
        return Ride(behind.outlet, behind.name, to, "not known")
    if load.rides_s is None and (load.duty in ("heater", "lighting") or behind.turns):
        return Ride(behind.outlet, behind.name, to, _without_memory(behind))
    if load.rides_s is not None:
        bears, source, verified = float(load.rides_s), "", "read"
    else:
        dropout = tolerated_s(0)
        bears, source, verified = dropout.value, dropout.source, "assumed"
    fate: Fate = "rides" if gap_s <= bears else "waits" if load.restarts == "by hand" else "drops"
    return Ride(behind.outlet, behind.name, to, fate, bears, source, verified)  # type: ignore[arg-type]


def _without_memory(behind: Behind) -> Fate:
    load = behind.load
    if load.restarts == "by hand":
        return "waits"
    if load.duty == "compressor":
        enough = (load.restart_delay_s or 0.0) >= motor_start("least rest").value
        return "delays" if enough else "against pressure"
    if load.restart_delay_s:
        return "delays"
    if load.duty == "heater":
        return "pauses"
    return "blinks" if load.duty == "lighting" else "coasts"
