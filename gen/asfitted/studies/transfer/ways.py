"""How long a changeover takes each way: everything that is said of it, and the figure it is judged by."""

from dataclasses import dataclass
from typing import Literal

from asfitted.description.kinds import InverterCharger, TransferSwitch
from asfitted.description.values import Claim
from asfitted.network.model import Item

Side = Literal["source 1", "source 2"]
SIDES: tuple[Side, Side] = ("source 1", "source 2")


@dataclass(frozen=True)
class Way:
    """The change to one source. `judged_s` is the longest of the measured times, or else of all that is said;
    None where nothing is.
    """

    to: Side
    claims: tuple[Claim, ...]
    judged_s: float | None
    basis: str

    @property
    def proved(self) -> bool:
        """Whether it was measured: all else is a claim."""
        return self.basis == "measured"

    @property
    def claimed_s(self) -> float | None:
        """The longest time that somebody promises without having measured it; None if nobody does."""
        return max((c.value for c in self.claims if c.basis != "measured"), default=None)


def way(item: Item, to: Side) -> Way:
    """Return the change of a transfer switch, or of an inverter charger, to one of its sources."""
    spec = item.spec
    assert isinstance(spec, TransferSwitch | InverterCharger)  # noqa: S101  (asked for by kind)
    said: tuple[Claim, ...] = (spec.to_source_1 if to == "source 1" else spec.to_source_2) or ()
    measured = [claim for claim in said if claim.basis == "measured"]
    judged = max(measured or said, key=lambda claim: claim.value, default=None)
    return Way(to, said, judged.value if judged else None, str(judged.basis) if judged else "")


def other(side: Side) -> Side:
    """Return the opposite side."""
    return "source 2" if side == "source 1" else "source 1"
