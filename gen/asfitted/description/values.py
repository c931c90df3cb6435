"""Typed values of a description: texts of the trade on the outside, SI floats inside."""

import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, WithJsonSchema
from pydantic_core import PydanticCustomError

from asfitted.description import units

Basis = Literal["claimed", "plate", "data sheet", "measured"]
_BASES = ("claimed", "plate", "data sheet", "measured")


class Strict(BaseModel):
    """Base of all models here: unknown fields are errors, instances do not change."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)


def fail(code: str, **fields: object) -> PydanticCustomError:
    """Return an error that carries the code of a problem and its fields through pydantic."""
    return PydanticCustomError("asfitted", "{code}", {"code": code, "fields": fields})


def _text(value: Any) -> str:
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise fail("text expected")
    return str(value)


def _convert(
    text: str, dimension: str, low: float | None = None, high: float | None = None, offset: int = 0
) -> float:
    """Return the value of a text; `offset` is where it begins in the whole text of the field."""
    try:
        return units.parse(text, dimension, low, high)
    except units.QuantityError as error:
        raise fail(error.code, offset=offset, **error.fields) from None


def _schema(dimension: str, example: str, prefix: str = "") -> WithJsonSchema:
    unit = units.unit_pattern(dimension)
    if not unit:
        pattern, plain = "^[0-9.]+$", [{"type": "number"}]
    elif dimension == "ratio":
        pattern, plain = "^[0-9.]+ ?%?$", [{"type": "number"}]
    else:
        pattern, plain = f"^{prefix}[0-9.eE+-]+ ?({unit})$", []
    return WithJsonSchema({"anyOf": [{"type": "string", "pattern": pattern}, *plain], "examples": [example]})


@dataclass(frozen=True)
class Of:
    """Marks the type of a field that holds a quantity of a dimension."""

    dimension: str


def quantity(dimension: str, low: float | None = None, high: float | None = None, example: str = "") -> Any:
    """Return the type of a field that holds one quantity of `dimension`, as a float in its base unit."""

    def convert(value: Any) -> float:
        return _convert(_text(value), dimension, low, high)

    return Annotated[
        float,
        BeforeValidator(convert),
        _schema(dimension, example or units.DIMENSIONS[dimension].example),
        Of(dimension),
    ]


def bounded(dimension: str, word: str) -> Any:
    """Return the type of a quantity written as a bound: `at most 0.8 ohm`. The word is demanded: it is the
    meaning.
    """

    def convert(value: Any) -> float:
        text = _text(value)
        if not text.startswith(word + " "):
            raise fail("bound expected", text=text, right=f"{word} {text}")
        return _convert(text.removeprefix(word).strip(), dimension, offset=len(word) + 1)

    example = f"{word} {units.DIMENSIONS[dimension].example}"
    return Annotated[float, BeforeValidator(convert), _schema(dimension, example, word + " ")]


def _true_or_false(value: Any) -> Any:
    """Only the two words themselves: YAML's `on` and `yes` mean different things to different readers."""
    if isinstance(value, bool):
        return value
    if value not in ("true", "false"):
        raise fail("not one of", found=str(value), allowed=("true", "false"))
    return value == "true"


TrueOrFalse = Annotated[bool, BeforeValidator(_true_or_false)]
LEAST_CURRENT_A = 0.001
Current = quantity("current", LEAST_CURRENT_A)
ResidualCurrent = quantity("current", 0.001, 10, "30 mA")
BreakingCapacity = quantity("current", 100, 1e6, "6 kA")
LetThrough = quantity("let-through")
Voltage = quantity("voltage", 0.1)
Power = quantity("power")
Resistance = quantity("resistance", 1e-6)
Length = quantity("length", 0.01)
Duration = quantity("duration")
Temperature = quantity("temperature")
Frequency = quantity("frequency")
Charge = quantity("charge", 0.1)
Ratio = quantity("ratio", 0.01)
Irradiation = quantity("irradiation")
Exponent = quantity("exponent")
Latitude = quantity("angle", -90, 90, "52 °")
Tilt = quantity("angle", 0, 90, "10 °")
Bearing = quantity("angle", 0, 360, "180 °")


class Size(Strict):
    """The cross-section of a conductor: its area and the designation it is sold under."""

    mm2: float
    designation: str

    @property
    def awg(self) -> bool:
        """Whether the conductor is sold by American Wire Gauge."""
        return self.designation.endswith("AWG")


METRIC_SIZES_MM2 = (0.5, 0.75, 1, 1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95, 120, 150, 185, 240, 300)
AWG_NUMBERS = {
    **{str(n): n for n in (18, 16, 14, 12, 10, 8, 6, 4, 3, 2, 1)},
    "1/0": 0,
    "2/0": -1,
    "3/0": -2,
    "4/0": -3,
}
SIZE_PATTERN = r"\d+(?:\.\d+)?\s?(?:mm²|mm2)|\d+(?:/0)?\s?AWG"


def awg_area_mm2(number: int) -> float:
    """Return the area of a solid round wire of American Wire Gauge `number` (1/0 is 0, 4/0 is -3).

    Source: ASTM B258, d = 0.127 mm × 92^((36 − n)/39).
    """
    diameter_mm = 0.127 * math.pow(92, (36 - number) / 39)
    return math.pi / 4 * diameter_mm * diameter_mm


def size(text: str) -> Size:
    """Return the conductor size written as `2.5 mm²` or `12 AWG`; an unusual size is an error that names its
    neighbours.
    """
    match = re.fullmatch(r"(\d+(?:\.\d+)?|\d+/0)\s?(mm²|mm2|AWG)", text.strip())
    if not match:
        raise fail("not a size", text=text)
    if match[2] == "AWG":
        if match[1] not in AWG_NUMBERS:
            raise fail("no such size", text=text, sizes=_neighbours_awg(match[1]))
        return Size(mm2=awg_area_mm2(AWG_NUMBERS[match[1]]), designation=f"{match[1]} AWG")
    area = float(match[1])
    if area not in METRIC_SIZES_MM2:
        smaller = [s for s in METRIC_SIZES_MM2 if s < area][-1:]
        larger = [s for s in METRIC_SIZES_MM2 if s > area][:1]
        raise fail("no such size", text=text, sizes=_and([f"{s:g} mm²" for s in (*smaller, *larger)]))
    return Size(mm2=area, designation=f"{area:g} mm²")


def _neighbours_awg(number: str) -> str:
    """Return the sold sizes next to an AWG number that is none; the thickest and thinnest if it is out of the
    row.
    """
    wanted = 1 - int(number.removesuffix("/0")) if number.endswith("/0") else int(number)
    order = sorted(AWG_NUMBERS.items(), key=lambda item: -item[1])
    thinner = [name for name, n in order if n > wanted][-1:]
    thicker = [name for name, n in order if n < wanted][:1]
    return _and([f"{name} AWG" for name in (*thinner, *thicker)])


def _and(names: list[str]) -> str:
    return " and ".join(names)


def _size(value: Any) -> Size:
    return value if isinstance(value, Size) else size(_text(value))


def _size_or_auto(value: Any) -> Any:
    return value if value == "auto" else _size(value)


_SIZE_SCHEMA = {"type": "string", "pattern": f"^({SIZE_PATTERN})$", "examples": ["2.5 mm²"]}
ConductorSize = Annotated[Size, BeforeValidator(_size), WithJsonSchema(_SIZE_SCHEMA)]
SizeOrAuto = Annotated[
    Size | Literal["auto"],
    BeforeValidator(_size_or_auto),
    WithJsonSchema({"anyOf": [_SIZE_SCHEMA, {"const": "auto"}], "examples": ["2.5 mm²"]}),
]


class Claim(Strict):
    """A figure and what it rests on."""

    value: float
    basis: Basis


def claims(dimension: str) -> Any:
    """Return the type of `0.3 s claimed, 0.42 s measured`: one or more figures, each with its basis."""

    def convert(value: Any) -> tuple[Claim, ...]:
        found = []
        for match in re.finditer(r"[^,\s][^,]*|(?<=,)\s*(?=,|$)", _text(value)):
            part = match[0].strip()
            basis = next((b for b in _BASES if part.endswith(b)), None)
            if basis is None:
                raise fail("basis missing", offset=match.start(), text=part, bases=", ".join(_BASES))
            figure = part.removesuffix(basis).strip()
            found.append(Claim(value=_convert(figure, dimension, offset=match.start()), basis=basis))
        return tuple(found)

    bases = "|".join(_BASES)
    schema = {"type": "string", "pattern": f"^.+ ({bases})(, .+ ({bases}))*$", "examples": ["0.3 s claimed"]}
    return Annotated[tuple[Claim, ...], BeforeValidator(convert), WithJsonSchema(schema)]


class Surge(Strict):
    """What a source gives for a short time."""

    power_w: float
    duration_s: float


class Start(Strict):
    """What a motor takes while it starts, and for how long."""

    current_a: float
    duration_s: float


class Bearable(Strict):
    """A current for good, and the larger one for a short time if it is said: `150 A, 200 A for 5 s`."""

    lasting_a: float
    short_a: float | None = None
    short_s: float | None = None

    def bears(self, current_a: float, duration_s: float) -> bool | None:
        """Tell whether a current is borne for a time; None where only the lasting one is said and it is exceeded."""
        if current_a <= self.lasting_a:
            return True
        if self.short_a is None or self.short_s is None:
            return None
        return current_a <= self.short_a and duration_s <= self.short_s


class PickUp(Strict):
    """The voltage above which a changeover comes back to a source, and the wait before it does (None if not said)."""

    voltage_v: float
    delay_s: float | None


class Parallel(Strict):
    """Whether a source is made to run together with others on the same conductors, and what it is certified to."""

    kind: Literal["no", "synchronised set", "grid parallel"]
    certified_to: str | None = None


class OutputLimit(Strict):
    """The r.m.s. current at which a source limits itself, for how long, and what it does then."""

    current_a: float
    duration_s: float
    then: Literal["latched off", "restarts", "folds back"]


class Upstream(Strict):
    """What protects the outlet that feeds the build: breaker and residual current device of the site."""

    curve: Literal["B", "C", "D"] | None
    rating_a: float
    residual_a: float | None = None
    residual_type: Literal["AC", "A", "F", "B"] | None = None


class InternalResistance(Strict):
    """The two bounds of a battery's resistance: for the greatest fault current and for the deepest sag."""

    new_warm_ohm: float
    aged_cold_ohm: float


class Run(Strict):
    """For how long something runs in a day, and when: from a time of day (h since midnight), or evenly spread over
    the whole day (`spread`); neither says that nobody knows when.
    """

    duration_s: float
    from_h: float | None = None
    spread: bool = False


class Evidence(Strict):
    """What the value of a field rests on, and the file or paper that shows it (None if nothing does)."""

    basis: Basis
    proof: str | None = None


def _part(match: re.Match[str], group: int, dimension: str) -> float:
    """Return the quantity in one group of a text."""
    return _convert(match[group], dimension, offset=match.start(group))


def _pattern(
    pattern: str, example: str, build: Callable[[re.Match[str]], Any]
) -> tuple[BeforeValidator, WithJsonSchema]:
    compiled = re.compile(pattern)

    def convert(value: Any) -> Any:
        text = _text(value)
        match = compiled.fullmatch(text)
        if not match:
            raise fail("form expected", text=text, example=example)
        return build(match)

    return BeforeValidator(convert), WithJsonSchema(
        {"type": "string", "pattern": f"^{pattern}$", "examples": [example]}
    )


def _day(duration_s: float) -> float:
    if duration_s > 24 * 3600:
        raise fail("longer than a day", hours=round(duration_s / 3600, 2))
    return duration_s


def _time_of_day(match: re.Match[str]) -> float:
    hour = int(match[2])
    if hour > 23:
        raise fail("no time of day", offset=match.start(2), text=f"{match[2]}:{match[3]}")
    return hour + int(match[3]) / 60


_SURGE = _pattern(
    r"(.+?) for (.+)",
    "3.2 kW for 2 s",
    lambda m: Surge(power_w=_part(m, 1, "power"), duration_s=_part(m, 2, "duration")),
)
SurgeText = Annotated[Surge, *_SURGE]
_START = _pattern(
    r"(.+?) for (.+)",
    "9 A for 0.5 s",
    lambda m: Start(current_a=_part(m, 1, "current"), duration_s=_part(m, 2, "duration")),
)
StartText = Annotated[Start, *_START]


def _bearable(match: re.Match[str]) -> Bearable:
    lasting = _convert(match[1], "current", LEAST_CURRENT_A, offset=match.start(1))
    if not match[2]:
        return Bearable(lasting_a=lasting)
    short = _part(match, 2, "current")
    if short < lasting:
        raise fail("short below lasting", offset=match.start(2), short=match[2], lasting=match[1])
    return Bearable(lasting_a=lasting, short_a=short, short_s=_part(match, 3, "duration"))


_BEARABLE = _pattern(r"(.+?)(?:, (.+?) for (.+))?", "150 A, 200 A for 5 s", _bearable)
BearableText = Annotated[Bearable, *_BEARABLE]
_PICK_UP = _pattern(
    r"(.+?)(?: after (.+))?",
    "195 V after 5 s",
    lambda m: PickUp(voltage_v=_part(m, 1, "voltage"), delay_s=_part(m, 2, "duration") if m[2] else None),
)
PickUpText = Annotated[PickUp, *_PICK_UP]
_LIMIT = _pattern(
    r"(.+?) for (.+?), then (latched off|restarts|folds back)",
    "18 A for 60 ms, then latched off",
    lambda m: OutputLimit(current_a=_part(m, 1, "current"), duration_s=_part(m, 2, "duration"), then=m[3]),
)
OutputLimitText = Annotated[OutputLimit, *_LIMIT]
_PARALLEL = _pattern(
    r"(no|synchronised set|grid parallel)(?: certified to (.+))?",
    "grid parallel certified to EN 50549-1",
    lambda m: Parallel(kind=m[1], certified_to=m[2]),
)
ParallelText = Annotated[Parallel, *_PARALLEL]
_UPSTREAM = _pattern(
    r"(?:([BCD])|breaker )(\d+)(?: A)?(?: \+ RCD (\d+ mA)(?: type (AC|A|F|B))?)?",
    "C16 + RCD 30 mA type A",
    lambda m: Upstream(
        curve=m[1],
        rating_a=float(m[2]),
        residual_a=_part(m, 3, "current") if m[3] else None,
        residual_type=m[4],
    ),
)
UpstreamText = Annotated[Upstream, *_UPSTREAM]
_RESISTANCE = _pattern(
    r"(.+?) new and warm, (.+?) aged and cold",
    "4 mohm new and warm, 12 mohm aged and cold",
    lambda m: InternalResistance(
        new_warm_ohm=_part(m, 1, "resistance"), aged_cold_ohm=_part(m, 2, "resistance")
    ),
)
InternalResistanceText = Annotated[InternalResistance, *_RESISTANCE]
_WHEN = r"(?: from (\d{1,2}):([0-5]\d)| (spread))?"
_RUN, _ = _pattern(
    rf"(.+?){_WHEN}",
    "2 h from 18:00",
    lambda m: Run(
        duration_s=_day(_part(m, 1, "duration")),
        from_h=_time_of_day(m) if m[2] else None,
        spread=m[4] is not None,
    ),
)
_RUN_SCHEMA = {
    "type": "string",
    "pattern": rf"^[0-9.eE+-]+ ?({units.unit_pattern('duration')}){_WHEN}$",
    "examples": ["2 h from 18:00"],
}
RunText = Annotated[Run, _RUN, WithJsonSchema(_RUN_SCHEMA)]
_EVIDENCE = _pattern(
    r"(claimed|plate|data sheet|measured)(?:, (.+))?",
    "data sheet, photos/plate.jpg",
    lambda m: Evidence(basis=m[1], proof=m[2]),
)
EvidenceText = Annotated[Evidence, *_EVIDENCE]
