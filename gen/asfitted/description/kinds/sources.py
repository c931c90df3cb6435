"""Where a.c. comes from: supplies, generators, inverters, and the link of their neutral to earth."""

from typing import ClassVar, Literal

from pydantic import Field

from asfitted.description.kinds.base import (
    AC,
    AC_VOLTAGE,
    POWER,
    RATING,
    Class,
    Earthing,
    Equipment,
    MinusToCase,
    field,
)
from asfitted.description.tokens import Token, quantity_token, word_token
from asfitted.description.values import (
    Current,
    Frequency,
    OutputLimitText,
    ParallelText,
    PickUpText,
    Power,
    Ratio,
    Resistance,
    Strict,
    SurgeText,
    TrueOrFalse,
    UpstreamText,
    Voltage,
    bounded,
    claims,
)


class SiteVariant(Strict):
    """What is different about the supply at one of the places where the build is plugged in."""

    voltage_v: Voltage | None = field("voltage", None)
    rating_a: Current | None = field("rating", None)
    earthing: Earthing | None = None
    loop_impedance_max_ohm: bounded("resistance", "at most") | None = field("loop impedance", None)  # type: ignore[valid-type]
    fault_current_max_a: bounded("current", "at most") | None = field("prospective fault current", None)  # type: ignore[valid-type]
    upstream: UpstreamText | None = None
    neutral_electrode_ohm: Resistance | None = field("neutral electrode", None)
    neighbours_load_w: Power | None = field("neighbours load", None)
    polarity: Literal["fixed", "may be reversed"] | None = None
    lines: Literal["opposite", "one phase"] | None = None


class AcSupply(Equipment):
    """A supply from outside: a site's outlet with its lead, or the grid connection of a building."""

    KIND: ClassVar = "ac supply"
    kind: Literal["ac supply"]
    PORTS: ClassVar = {"": ("L", "L1", "L2", "N", "PE")}
    LETTER: ClassVar = "G"
    REQUIRED: ClassVar[tuple[str, ...]] = ("PE",)
    TOKENS: ClassVar[tuple[Token, ...]] = (
        quantity_token("voltage", "voltage", "230 V"),
        Token(r"120/240 V", (("voltage", "120 V"), ("split phase", "true")), "120/240 V"),
        quantity_token("frequency", "frequency", "50 Hz"),
        RATING,
        word_token("earthing", ("TN-S", "TN-C-S", "TT", "IT")),
    )
    voltage_v: Voltage = field("voltage")
    split_phase: TrueOrFalse = field("split phase", False)
    frequency_hz: Frequency = field("frequency")
    rating_a: Current = field("rating")
    earthing: Earthing
    loop_impedance_max_ohm: bounded("resistance", "at most") | None = field("loop impedance", None)  # type: ignore[valid-type]
    fault_current_max_a: bounded("current", "at most") | None = field("prospective fault current", None)  # type: ignore[valid-type]
    upstream: UpstreamText
    neutral_electrode_ohm: Resistance | None = field("neutral electrode", None)
    neighbours_load_w: Power | None = field("neighbours load", None)
    polarity: Literal["fixed", "may be reversed"] = "fixed"
    at: dict[str, SiteVariant] = Field(default_factory=dict)


class NeutralBond(Strict):
    """The link from a source's own neutral to earth: whether, where it lands, and whether its maker allows
    it.
    """

    kind: Literal["none", "fixed", "closed when inverting"]
    lands_on: str = field("lands on", "own earth terminal")
    allowed_by_maker: Literal["data sheet", "not stated", "no"] = field("allowed by maker", "not stated")


class Generator(Equipment):
    """A rotating set on board or beside the build."""

    KIND: ClassVar = "generator"
    kind: Literal["generator"]
    PORTS: ClassVar = {"": ("L", "L1", "L2", "N", "PE")}
    LETTER: ClassVar = "G"
    REQUIRED: ClassVar[tuple[str, ...]] = ("L", "N", "PE")
    TOKENS: ClassVar[tuple[Token, ...]] = (
        quantity_token("voltage", "voltage", "230 V"),
        quantity_token("frequency", "frequency", "50 Hz"),
        POWER,
        RATING,
    )
    voltage_v: Voltage = field("voltage")
    frequency_hz: Frequency = field("frequency")
    power_w: Power = field("power")
    rating_a: Current | None = field("rating", None)
    neutral_bond: "NeutralBond" = field("neutral bond")
    output_limit: OutputLimitText | None = field("output limit", None)
    parallel: ParallelText | None = None


class Inverter(Equipment):
    """A source of a.c. from the battery."""

    KIND: ClassVar = "inverter"
    kind: Literal["inverter"]
    PORTS: ClassVar = {"": ("L", "N", "PE", "plus", "minus")}
    LETTER: ClassVar = "T"
    REQUIRED: ClassVar[tuple[str, ...]] = ("L", "N", "plus", "minus")
    TOKENS: ClassVar[tuple[Token, ...]] = (
        AC_VOLTAGE,
        quantity_token("dc voltage", "voltage", "24 V"),
        quantity_token("frequency", "frequency", "50 Hz"),
        POWER,
    )
    dc_voltage_v: Voltage = field("dc voltage")
    ac_voltage_v: Voltage | None = field("ac voltage", None)
    frequency_hz: Frequency | None = field("frequency", None)
    power_w: Power = field("power")
    surge: SurgeText | None = None
    efficiency: Ratio | None = None
    idle_w: Power | None = field("idle", None)
    search_below_w: Power | None = field("search below", None)
    cut_out_below_v: Voltage | None = field("cut-out below", None)
    output_limit: OutputLimitText | None = field("output limit", None)
    parallel: ParallelText | None = None
    isolation: Literal["isolated", "not isolated"]
    minus_to_case: MinusToCase | None = field("minus to case", None)
    neutral_bond: NeutralBond = field("neutral bond")
    safety_class: Class = field("class", "I")


class InverterCharger(Inverter):
    """Inverter, charger and transfer in one case, with its own neutral link."""

    KIND: ClassVar = "inverter charger"
    kind: Literal["inverter charger"]  # type: ignore[assignment]
    PORTS: ClassVar = {"ac in": AC, "ac out": AC, "": ("plus", "minus", "PE")}
    THROUGH: ClassVar = ("ac in", "ac out")
    REQUIRED: ClassVar[tuple[str, ...]] = ("ac in.L", "ac in.N", "ac out.L", "ac out.N", "plus", "minus")
    TOKENS: ClassVar[tuple[Token, ...]] = (
        *Inverter.TOKENS,
        quantity_token("charge current", "current", "40 A", "A"),
    )
    charge_current_a: Current = field("charge current")
    power_factor: Ratio | None = field("power factor", None)
    charge_efficiency: Ratio | None = field("charge efficiency", None)
    transfer_poles: Literal["1P", "2P"] = field("transfer poles")
    transfer_rating_a: Current = field("transfer rating")
    to_source_1: claims("duration") | None = field("to source 1", None)  # type: ignore[valid-type]
    to_source_2: claims("duration") | None = field("to source 2", None)  # type: ignore[valid-type]
    drops_out_below_v: Voltage | None = field("drops out below", None)
    picks_up_above: PickUpText | None = field("picks up above", None)


class IsolatingTransformer(Equipment):
    """Two separate windings between the supply and the build."""

    KIND: ClassVar = "isolating transformer"
    kind: Literal["isolating transformer"]
    PORTS: ClassVar = {"primary": AC, "secondary": AC}
    THROUGH: ClassVar = ("primary", "secondary")
    LETTER: ClassVar = "T"
    REQUIRED: ClassVar[tuple[str, ...]] = ("primary.L", "primary.N", "secondary.L", "secondary.N")
    TOKENS: ClassVar[tuple[Token, ...]] = (POWER,)
    power_w: Power = field("power")
    shore_earth: Literal["ends at the screen", "continues"] = field("shore earth")
    neutral_bond: NeutralBond = field("neutral bond")


class SupplyInlet(Equipment):
    """The inlet of the build: the site's lead is coupled to its pins."""

    KIND: ClassVar = "supply inlet"
    kind: Literal["supply inlet"]
    PORTS: ClassVar = {"coupler": ("L", "L1", "L2", "N", "PE"), "pins": ("L", "L1", "L2", "N", "PE")}
    THROUGH: ClassVar = ("coupler", "pins")
    LETTER: ClassVar = "X"
    REQUIRED: ClassVar[tuple[str, ...]] = ("pins.PE",)
    TOKENS: ClassVar[tuple[Token, ...]] = (RATING,)
    rating_a: Current = field("rating")


class Adaptor(Equipment):
    """What the lead is coupled with: an adaptor, or the plug and the connector of the lead itself."""

    KIND: ClassVar = "adaptor"
    kind: Literal["adaptor"]
    PORTS: ClassVar = {"in": ("L", "L1", "L2", "N", "PE"), "out": ("L", "L1", "L2", "N", "PE")}
    THROUGH: ClassVar = ("in", "out")
    LETTER: ClassVar = "X"
    REQUIRED: ClassVar[tuple[str, ...]] = ("in.PE", "out.PE")
    TOKENS: ClassVar[tuple[Token, ...]] = (RATING,)
    rating_a: Current = field("rating")
