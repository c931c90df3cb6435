"""What a rule set is to a study: tables to size by, limits and permissions, each with its clause."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

from asfitted.description.values import Size
from asfitted.tables.devices import standard_ratings_a
from asfitted.tables.looked import Looked, Verified, looked, rows

#: printed as the clause where a rule set says nothing: the computed effect speaks alone
SILENT = "no clause in this rule set"
Supply = Literal["public", "private", "dc"]
Use = Literal["lighting", "critical", "other"]
Origin = Literal["ac", "battery", "charging"]


@dataclass(frozen=True)
class Laid:
    """A conductor where it lies, as the tables ask for it.

    `way` is the way of laying in the words of a description, `loaded` the loaded conductors of its circuit,
    `circuits` and `conductors` those that lie together. `terminals_c` is the temperature that the terminals
    at its ends are marked for, None if nobody says.
    """

    size: Size
    insulation: str
    conductor_temp_c: float
    way: str
    single_core: bool
    loaded: int
    length_m: float
    ambient_c: float
    arrangement: str | None = None
    circuits: int = 1
    conductors: int = 2
    insulation_m: float = 0.0
    engine_space: bool = False
    extra_low: bool = False
    terminals_c: float | None = None


@dataclass(frozen=True)
class Part:
    """One number that goes into a capacity; `code` is the assumption printed where no row fits."""

    symbol: str
    code: str
    look: Callable[[], Looked]


@dataclass(frozen=True)
class Permitted:
    """The largest rating of a device that may protect a conductor, and the rule that says so.

    `good_practice_a` is what declared good practice allows where that is less.
    """

    rating_a: float
    rule: Literal["capacity", "next size", "small conductor", "share"]
    source: str
    verified: Verified = "read"
    good_practice_a: float | None = None

    @property
    def strict_a(self) -> float:
        """The rating that law and good practice both allow: what a size is chosen by."""
        return self.rating_a if self.good_practice_a is None else min(self.rating_a, self.good_practice_a)


@dataclass(frozen=True)
class Earthing:
    """What a protective conductor serves: `line` in its cable or at its ends, the rating of the device before
    it.
    """

    line: Size | None
    device_a: float | None
    separate: bool
    to_structure: bool = False


@dataclass(frozen=True)
class RuleSet:
    """One body of rules. `clauses` maps the name of a check to its clause, `limits` the name of a limit to
    its value.

    `parts` gives the factors of a current-carrying capacity, `ceiling` what it may not exceed whatever they
    say; `permitted` the device that may protect a conductor, given its capacity and how many receptacles hang
    on it.
    """

    name: str
    title: str
    clauses: Mapping[str, str]
    parts: Callable[[Laid], tuple[Part, ...]]
    permitted: Callable[[Laid, float, int], Permitted]
    protective: Callable[[Earthing], Looked]
    ceiling: Callable[[Laid], Part | None] = lambda laid: None
    limits: Mapping[str, Looked] = field(default_factory=lambda: MappingProxyType({}))
    #: sizes that are chosen and proposed: American Wire Gauge or metric
    awg: bool = False
    #: what a continuous load counts in the choice of conductor and device
    continuous: Looked | None = None
    #: ratings of receptacles that a branch circuit of a rating may feed; None where a rating is only an
    #: upper bound
    receptacles_a: Callable[[float], tuple[float, ...]] | None = None
    #: equipment must be listed (certified) to be installed at all
    listing_demanded: bool = False
    #: a.c. and d.c. cables must lie apart whatever they are insulated for
    apart_in_any_case: bool = False
    #: air at which the ratings of breakers hold: IEC 60898-1; UL 489 (from memory)
    device_reference_c: float = 30.0
    #: standard ratings of all devices in one row, None if each kind has its own
    ratings: str | None = None

    def clause(self, check: str) -> str:
        """Return the clause of `check`, or that there is none."""
        return self.clauses.get(check, SILENT)

    def drop_limit(self, supply: Supply, use: Use) -> Looked:
        """Return the limit of voltage drop from the origin to the load, in per cent of the nominal
        voltage.
        """
        for row in rows("drop_limits"):
            if (row["rules"], row["supply"], row["use"]) == (self.name, supply, use):
                return looked(row, "limit_percent")
        raise KeyError((supply, use))

    def unprotected_m(self, origin: Origin, enclosed: bool) -> Looked:
        """Return the length that a conductor may have before its first overcurrent device."""
        words = ("any", "yes" if enclosed else "no")
        for row in rows("unprotected_lengths"):
            if row["rules"] == self.name and row["from"] in ("any", origin) and row["enclosed"] in words:
                return looked(row, "length_m")
        raise KeyError((origin, enclosed))

    def standard_ratings_a(self, device: str) -> tuple[float, ...]:
        """Return the standard ratings of a device; NoRowError for an unknown one."""
        if self.ratings is None or not device.startswith("breaker"):
            return standard_ratings_a(
                f"{device}, {self.name}" if self.ratings and device == "isolator" else device
            )
        return tuple(sorted(float(row["rating_a"]) for row in rows(self.ratings)))
