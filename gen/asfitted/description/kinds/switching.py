"""What switches and protects: transfer switches, breakers, fuses, residual current devices."""

from typing import ClassVar, Literal

from asfitted.description.kinds.base import (
    AC_VOLTAGE,
    AUTO,
    BREAKING,
    CURVE,
    CURVE_ONLY,
    DC_VOLTAGE,
    LIVE_AC,
    POLES,
    RATING,
    RCD_TYPE,
    RESIDUAL,
    SELECTIVE,
    Choosable,
    Equipment,
    Inline,
    field,
)
from asfitted.description.tokens import Token, word_token
from asfitted.description.values import (
    BreakingCapacity,
    Current,
    LetThrough,
    PickUpText,
    ResidualCurrent,
    Voltage,
    claims,
)

#: what is chosen of a residual release: people may touch what lies behind (IEC 60364-4-41 415.1: at most 30 mA), and
#: electronics may draw through it (IEC 60364-5-53: type A sees pulsating direct current)
RESIDUAL_OPEN: dict[str, str | None] = {"residual current": "30 mA", "residual type": "A"}


class TransferSwitch(Equipment):
    """A changeover between two sources."""

    KIND: ClassVar = "transfer switch"
    kind: Literal["transfer switch"]
    PORTS: ClassVar = {"source 1": LIVE_AC, "source 2": LIVE_AC, "out": LIVE_AC}
    LETTER: ClassVar = "Q"
    ROUTES: ClassVar = {"ac": ("", "out")}
    REQUIRED: ClassVar[tuple[str, ...]] = (
        "source 1.L",
        "source 1.N",
        "source 2.L",
        "source 2.N",
        "out.L",
        "out.N",
    )
    TOKENS: ClassVar[tuple[Token, ...]] = (RATING, word_token("poles", ("2P", "1P")))
    rating_a: Current = field("rating")
    poles: Literal["1P", "2P"]
    preferred: Literal["source 1", "source 2"] = "source 1"
    rest_position: Literal["source 1", "source 2", "off", "stays"] = field("rest position")
    to_source_1: claims("duration") | None = field("to source 1", None)  # type: ignore[valid-type]
    to_source_2: claims("duration") | None = field("to source 2", None)  # type: ignore[valid-type]
    drops_out_below_v: Voltage | None = field("drops out below", None)
    picks_up_above: PickUpText | None = field("picks up above", None)
    break_before_make: Literal["claimed", "data sheet", "measured", "no"] = field(
        "break before make", "claimed"
    )


class SelectorSwitch(TransferSwitch):
    """A changeover set by hand, with an off position between."""

    KIND: ClassVar = "selector switch"
    kind: Literal["selector switch"]  # type: ignore[assignment]
    rest_position: Literal["source 1", "source 2", "off", "stays"] = field("rest position", "stays")


class Contactor(Inline):
    """A contact closed by a coil."""

    KIND: ClassVar = "contactor"
    kind: Literal["contactor"]
    LETTER: ClassVar = "Q"
    TOKENS: ClassVar[tuple[Token, ...]] = (RATING, POLES)
    rating_a: Current = field("rating")
    coil: str | None = None
    closed_when: str | None = field("closed when", None)


class Breaker(Choosable):
    """A circuit-breaker; the curve is that of IEC 60898-1 where it has one."""

    KIND: ClassVar = "breaker"
    kind: Literal["breaker"]
    LETTER: ClassVar = "F"
    TOKENS: ClassVar[tuple[Token, ...]] = (
        CURVE,
        CURVE_ONLY,
        RATING,
        AUTO,
        POLES,
        BREAKING,
        DC_VOLTAGE,
        AC_VOLTAGE,
        word_token("energy class", ("2", "3"), before="energy class "),
    )
    OPEN: ClassVar[dict[str, str | None]] = {**Choosable.OPEN, "curve": None, "breaking capacity": None}
    curve: Literal["B", "C", "D"] | None = None
    rating_a: Current = field("rating")
    breaking_capacity_a: BreakingCapacity | None = field("breaking capacity", None)
    dc_voltage_v: Voltage | None = field("dc voltage", None)
    ac_voltage_v: Voltage | None = field("ac voltage", None)
    energy_class: Literal["2", "3"] | None = field("energy class", None)
    let_through_a2s: LetThrough | None = field("let-through", None)


class Fuse(Choosable):
    """A fuse; `type` as marked on it: blade, maxi, bolt-down, T, ANL-style bolt, gG …"""

    KIND: ClassVar = "fuse"
    kind: Literal["fuse"]
    LETTER: ClassVar = "F"
    TOKENS: ClassVar[tuple[Token, ...]] = (
        word_token("type", ("blade", "maxi", "bolt-down", "T", "gG", "gPV", "cartridge")),
        RATING,
        AUTO,
        BREAKING,
        DC_VOLTAGE,
        AC_VOLTAGE,
    )
    OPEN: ClassVar[dict[str, str | None]] = {**Choosable.OPEN, "breaking capacity": None, "dc voltage": None}
    type: Literal["blade", "maxi", "bolt-down", "T", "gG", "gPV", "cartridge"]
    rating_a: Current = field("rating")
    breaking_capacity_a: BreakingCapacity | None = field("breaking capacity", None)
    dc_voltage_v: Voltage | None = field("dc voltage", None)
    ac_voltage_v: Voltage | None = field("ac voltage", None)
    let_through_a2s: LetThrough | None = field("let-through", None)


class Rcd(Choosable):
    """A residual current device without overcurrent protection."""

    KIND: ClassVar = "RCD"
    SUMS_CURRENTS: ClassVar = True
    kind: Literal["RCD"]
    LETTER: ClassVar = "F"
    TOKENS: ClassVar[tuple[Token, ...]] = (RATING, AUTO, POLES, RESIDUAL, RCD_TYPE, SELECTIVE, BREAKING)
    OPEN: ClassVar[dict[str, str | None]] = {**Choosable.OPEN, **RESIDUAL_OPEN}
    rating_a: Current = field("rating")
    residual_a: ResidualCurrent = field("residual current")
    residual_type: Literal["AC", "A", "F", "B"] = field("residual type")
    delay: Literal["none", "selective"] = "none"
    breaking_capacity_a: BreakingCapacity | None = field("breaking capacity", None)


class Rcbo(Breaker):
    """A circuit-breaker with residual current release."""

    KIND: ClassVar = "RCBO"
    SUMS_CURRENTS: ClassVar = True
    kind: Literal["RCBO"]  # type: ignore[assignment]
    TOKENS: ClassVar[tuple[Token, ...]] = (*Breaker.TOKENS, RESIDUAL, RCD_TYPE, SELECTIVE)
    OPEN: ClassVar[dict[str, str | None]] = {**Breaker.OPEN, **RESIDUAL_OPEN, "poles": None}
    residual_a: ResidualCurrent = field("residual current")
    residual_type: Literal["AC", "A", "F", "B"] = field("residual type")
    delay: Literal["none", "selective"] = "none"


class GfciBreaker(Breaker):
    """A circuit-breaker with ground-fault circuit interrupter, Class A (UL 943)."""

    KIND: ClassVar = "GFCI breaker"
    SUMS_CURRENTS: ClassVar = True
    kind: Literal["GFCI breaker"]  # type: ignore[assignment]
    OPEN: ClassVar[dict[str, str | None]] = {**Breaker.OPEN, "poles": None}


class Isolator(Choosable):
    """A switch-disconnector."""

    KIND: ClassVar = "isolator"
    kind: Literal["isolator"]
    LETTER: ClassVar = "Q"
    TOKENS: ClassVar[tuple[Token, ...]] = (RATING, AUTO, POLES, DC_VOLTAGE, AC_VOLTAGE)
    rating_a: Current = field("rating")
    dc_voltage_v: Voltage | None = field("dc voltage", None)
    ac_voltage_v: Voltage | None = field("ac voltage", None)
    normally: Literal["closed", "open"] = "closed"
    open_when: str | None = field("open when", None)


class Meter(Inline):
    """A shunt or meter in the conductor."""

    KIND: ClassVar = "meter"
    kind: Literal["meter"]
    LETTER: ClassVar = "P"
    TOKENS: ClassVar[tuple[Token, ...]] = (RATING,)
    rating_a: Current = field("rating")
