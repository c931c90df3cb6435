"""The build description in its long form, as typed models. The short forms are expanded before they come
here.
"""

import re
from typing import Annotated, Any, Literal, get_args

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from asfitted.description.kinds import AnyEquipment, Status, field
from asfitted.description.values import (
    ConductorSize,
    Irradiation,
    Latitude,
    Length,
    Ratio,
    RunText,
    SizeOrAuto,
    Strict,
    Temperature,
    Voltage,
    fail,
    quantity,
)

FORMAT = 1
RULE_SETS = ("IEC 60364", "BS 7671", "NFPA 70", "ISO 13297", "33 CFR 183")
METHODS = ("in insulation", "in conduit", "clipped", "free air")
Insulation = Literal[
    "PVC 60 °C",
    "PVC 70 °C",
    "PVC 75 °C",
    "PVC 90 °C",
    "PVC 105 °C",
    "XLPE 90 °C",
    "EPR 90 °C",
    "rubber 60 °C",
    "silicone 180 °C",
]
INSULATIONS: tuple[str, ...] = get_args(Insulation)
CABLE_KINDS = ("ac", "dc", "plus", "minus", "earth", "bond", "L", "N")
Conductor = Literal["L", "L1", "L2", "N", "PE", "plus", "minus", "bond"]
Colour = Literal["BK", "BN", "RD", "OG", "YE", "GN", "BU", "VT", "GY", "WH", "PK", "GNYE"]
#: words for where a place lies, seen from above: how far from the front, and on which side
ZONE_ROWS = ("front", "bow", "forward", "middle", "amidships", "rear", "back", "stern", "aft")
ZONE_SIDES = (
    "left",
    "nearside",
    "port",
    "street side",
    "centre",
    "right",
    "offside",
    "starboard",
    "curb side",
)
_ZONE = f"^(({'|'.join(ZONE_ROWS)})( ({'|'.join(ZONE_SIDES)}))?|({'|'.join(ZONE_SIDES)}))$"


def _zone(value: Any) -> Any:
    if isinstance(value, str) and not re.match(_ZONE, value):
        raise fail("not a zone", found=value, rows=", ".join(ZONE_ROWS), sides=", ".join(ZONE_SIDES))
    return value


ZoneText = Annotated[
    str,
    BeforeValidator(_zone),
    WithJsonSchema({"type": "string", "pattern": _ZONE, "examples": ["rear nearside"]}),
]
TwoEnds = Annotated[list[str], Field(min_length=2, max_length=2)]
Date = Annotated[str, Field(pattern=r"^\d{4}-\d{2}-\d{2}$", examples=["2026-03-02"])]
Text = Annotated[str, Field(min_length=1, max_length=400)]


def _whole(value: Any) -> Any:
    if isinstance(value, str) and value.isascii() and value.isdigit():
        return int(value)
    return value


WholeNumber = Annotated[int, BeforeValidator(_whole), Field(ge=0, le=10_000)]


class Build(Strict):
    """What the build is and which rules it is held to."""

    title: Text
    reference: Annotated[str, Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9 ._/-]{0,23}$")]
    setting: Literal["road vehicle", "trailer", "boat", "cabin", "house"]
    use: Literal["lived in", "work or public", "both"]
    rules: Literal["IEC 60364", "BS 7671", "NFPA 70", "ISO 13297", "33 CFR 183"]
    ambient_c: Temperature = field("ambient")
    lowest_c: Temperature = field("lowest temperature")
    units: Literal["metric", "US"] = "metric"
    engine: Literal["petrol", "diesel", "outboard", "none"] = "none"
    ac_drop_limit: quantity("ratio", 0.001, 0.2) | None = field("ac drop limit", None)  # type: ignore[valid-type]
    dc_drop_limit: quantity("ratio", 0.001, 0.2) | None = field("dc drop limit", None)  # type: ignore[valid-type]


class Board(Strict):
    """An enclosure and the bars in it on which cores land that go to no device."""

    line_bar: str | None = field("line bar", None)
    line_1_bar: str | None = field("line 1 bar", None)
    line_2_bar: str | None = field("line 2 bar", None)
    neutral_bar: str | None = field("neutral bar", None)
    earth_bar: str | None = field("earth bar", None)
    plus_bar: str | None = field("plus bar", None)
    minus_bar: str | None = field("minus bar", None)
    place: Text | None = None


class Bundle(Strict):
    """Cables laid together."""

    arrangement: Literal["bunched", "single layer", "spaced"]
    ambient_c: Temperature | None = field("ambient", None)


class Space(Strict):
    """A part of the build with conditions of its own."""

    ambient_c: Temperature | None = field("ambient", None)
    lowest_c: Temperature | None = field("lowest", None)
    insulation_around_m: Length | None = field("insulation around", None)
    engine: Literal["petrol", "diesel"] | None = None
    holds: Literal["gas cylinders", "petrol tank"] | None = None
    vented: Literal["vented", "not vented"] | None = None
    wet: Literal["wet", "outside"] | None = None


class Cable(Strict):
    """One cable; `cores` says from which terminal to which each conductor goes."""

    kind: Literal["ac", "dc", "plus", "minus", "earth", "bond", "L", "N"]
    cores: dict[Conductor, TwoEnds] = Field(min_length=1)
    size: SizeOrAuto
    pe_size: ConductorSize | None = field("PE size", None)
    at_least: ConductorSize | None = field("at least", None)
    length_m: Length = field("length")
    insulation: Insulation | None = None
    method: Literal["in insulation", "in conduit", "clipped", "free air"] | None = None
    conductor_class: Literal["class 2", "class 5"] | None = field("conductor class", None)
    #: what its insulation is made for, where nobody would guess it from the circuit
    voltage_v: Voltage | None = field("voltage", None)
    bundle: str | None = None
    space: str | None = None
    status: Status = "installed"
    note: Text | None = None
    private: dict[str, Any] | None = None


class Revision(Strict):
    """One issue of the documents."""

    date: Date
    by: Text
    what: Text


class Day(Strict):
    """A kind of day: what comes in and what runs for how long."""

    sun_kwh_m2: Irradiation | None = field("sun", None)
    temperature_c: Temperature | None = field("temperature", None)
    drive: RunText | None = None
    plugged_in: RunText | None = field("plugged in", None)
    generator: RunText | None = None
    use: dict[str, RunText] = Field(default_factory=dict)


class Climate(Strict):
    """Where the build usually stands, and what sun falls on a horizontal square metre there, month by month.

    One of `horizontal`, `clearness` (share of the sun above the atmosphere) and `like` (a place whose sun is
    published). `temperature` is that of the battery's place, month by month.
    """

    latitude_deg: Latitude = field("latitude")
    horizontal: Annotated[list[Irradiation], Field(min_length=12, max_length=12)] | None = None
    clearness: Annotated[list[Ratio], Field(min_length=12, max_length=12)] | None = None
    temperature: Annotated[list[Temperature], Field(min_length=12, max_length=12)] | None = None
    like: Literal["Phoenix AZ", "Miami FL", "San Francisco CA", "Champaign IL"] | None = None

    @model_validator(mode="after")
    def _one_of_three(self) -> "Climate":
        given = [name for name in ("horizontal", "clearness", "like") if getattr(self, name) is not None]
        if len(given) != 1:
            raise fail("one of three", found=", ".join(given) or "–")
        return self


class Option(Strict):
    """One remedy: changes laid over the build."""

    change: dict[str, Any] = Field(default_factory=dict)
    add: dict[str, Any] = Field(default_factory=dict)
    remove: list[str] = Field(default_factory=list)
    insert: dict[str, Any] = Field(default_factory=dict)


class Decision(Strict):
    """A question, the answer chosen, and the others that were considered."""

    question: Text
    chosen: Text
    options: dict[str, Option] = Field(default_factory=dict)


class Raised(Strict):
    """A hazard that somebody pointed out."""

    date: Date
    claim: Text
    shown: list[str] = Field(default_factory=list)
    decision: WholeNumber | None = None
    revision: WholeNumber | None = None
    told: Text | None = None


class Accepted(Strict):
    """A finding of the two lower classes that the builder accepts, with a reason that is printed."""

    finding: str
    where: str
    reason: Text
    date: Date


class Description(Strict):
    """The whole of a build description."""

    asfitted: WholeNumber
    build: Build
    revisions: dict[WholeNumber, Revision] = Field(min_length=1)
    people: dict[str, Any] = Field(default_factory=dict)
    identity: dict[str, Any] = Field(default_factory=dict)
    boards: dict[str, Board] = Field(default_factory=dict)
    bundles: dict[str, Bundle] = Field(default_factory=dict)
    spaces: dict[str, Space] = Field(default_factory=dict)
    equipment: dict[str, AnyEquipment] = Field(min_length=1)
    cables: dict[str, Cable] = Field(default_factory=dict)
    links: list[TwoEnds] = Field(default_factory=list)
    #: places that equipment names -> zone of the plan
    places: dict[str, ZoneText] = Field(default_factory=dict)
    #: letter codes of IEC 60757 by conductor, where its cores are not of the rule set's colours
    colours: dict[Conductor, Colour] = Field(default_factory=dict)
    climate: Climate | None = None
    days: dict[str, Day] = Field(default_factory=dict)
    states: dict[str, str] = Field(default_factory=dict)
    decisions: list[Decision] = Field(default_factory=list)
    raised: list[Raised] = Field(default_factory=list)
    accepted: list[Accepted] = Field(default_factory=list)

    @property
    def revision(self) -> tuple[int, Revision]:
        """The latest revision and its number."""
        number = max(self.revisions)
        return number, self.revisions[number]
