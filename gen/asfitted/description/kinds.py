"""The closed list of kinds of equipment: their terminals, fields, and the words of their short forms.

A kind is a pydantic model of its long form. Class variables say what a model cannot: its terminals and its
tokens.
"""

from typing import Annotated, Any, ClassVar, Literal

from pydantic import BaseModel, Field, model_validator

from asfitted.description.tokens import Token, quantity_token, word_token
from asfitted.description.values import (
    BreakingCapacity,
    Charge,
    Current,
    Duration,
    Frequency,
    InternalResistanceText,
    OutputLimitText,
    Power,
    Ratio,
    ResidualCurrent,
    Resistance,
    Strict,
    SurgeText,
    Temperature,
    TrueOrFalse,
    UpstreamText,
    Voltage,
    bounded,
    claims,
    fail,
    quantity,
)

Status = Literal["planned", "installed", "tested"]
Class = Literal["I", "II", "III"]
Earthing = Literal["TN-S", "TN-C-S", "TT", "IT"]
AC = ("L", "N", "PE")
LIVE_AC = ("L", "N")
DC = ("plus", "minus")


def field(alias: str, default: Any = ..., **more: Any) -> Any:
    """Return a model field known to the user as `alias`."""
    return Field(default, alias=alias, **more)


def field_names(model: type[BaseModel]) -> list[str]:
    """Return the names of a model's fields as the user writes them, the kind itself left out."""
    return [info.alias or name for name, info in model.model_fields.items() if name != "kind"]


class Equipment(Strict):
    """What every kind shares."""

    KIND: ClassVar[str]
    #: port name -> conductors; the empty name is the only port
    PORTS: ClassVar[dict[str, tuple[str, ...]]] = {}
    #: (entered, left) for equipment that conductors pass through
    THROUGH: ClassVar[tuple[str, str] | None] = None
    #: ports that a run may mean without naming them: run kind -> (port entered, port left)
    ROUTES: ClassVar[dict[str, tuple[str, str]]] = {}
    #: terminals that must be connected, as port.conductor
    REQUIRED: ClassVar[tuple[str, ...]] = ()
    TOKENS: ClassVar[tuple[Token, ...]] = ()
    #: IEC 81346-2 letter of the class
    LETTER: ClassVar[str] = "A"

    status: Status = "installed"
    place: str | None = None
    space: str | None = None
    board: str | None = field("in", None)
    short: str | None = Field(None, max_length=24)
    sheet: int | None = Field(None, ge=1)
    note: str | None = None
    certified_to: str | None = field("certified to", None)
    #: what its terminals are marked for; some rule sets take the cooler column where nobody says
    terminals_c: Temperature | None = field("terminals", None)
    private: dict[str, Any] | None = None


class Inline(Equipment):
    """Equipment that conductors pass through, with a contact in some of them."""

    PORTS: ClassVar = {"in": (), "out": ()}
    THROUGH: ClassVar = ("in", "out")
    contacts: tuple[Literal["L", "L1", "L2", "N", "plus", "minus"], ...] = ()
    poles: Literal["1P", "1P+N", "2P", "3P", "4P"] | None = None


POLES = word_token("poles", ("1P+N", "1P", "2P", "3P", "4P"))
RATING = quantity_token("rating", "current", "16 A", "A")
BREAKING = quantity_token("breaking capacity", "current", "6 kA", "kA")
RESIDUAL = quantity_token("residual current", "current", "30 mA", "mA")
DC_VOLTAGE = quantity_token("dc voltage", "voltage", "32 V dc", after=r"\sdc")
AC_VOLTAGE = quantity_token("ac voltage", "voltage", "230 V ac", after=r"\sac")
CURVE = Token(r"(?P<c>[BCD])(?P<r>\d+(?:\.\d+)?)", (("curve", "{c}"), ("rating", "{r} A")), "C16")
CURVE_ONLY = word_token("curve", ("B", "C", "D"))
RCD_TYPE = word_token("residual type", ("AC", "A", "F", "B"), before="type ")
SELECTIVE = word_token("delay", ("S",), "selective")
STATUS = word_token("status", ("planned", "installed", "tested"))
POWER = quantity_token("power", "power", "1.6 kW")


class SiteVariant(Strict):
    """What is different about the supply at one of the places where the build is plugged in."""

    voltage_v: Voltage | None = field("voltage", None)
    rating_a: Current | None = field("rating", None)
    earthing: Earthing | None = None
    loop_impedance_max_ohm: bounded("resistance", "at most") | None = field("loop impedance", None)  # type: ignore[valid-type]
    fault_current_max_a: bounded("current", "at most") | None = field("prospective fault current", None)  # type: ignore[valid-type]
    upstream: UpstreamText | None = None
    neutral_electrode_ohm: Resistance | None = field("neutral electrode", None)
    polarity: Literal["fixed", "may be reversed"] | None = None


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
    polarity: Literal["fixed", "may be reversed"] = "fixed"
    at: dict[str, SiteVariant] = Field(default_factory=dict)


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


class NeutralBond(Strict):
    """The link from a source's own neutral to earth: whether, where it lands, and whether its maker allows
    it.
    """

    kind: Literal["none", "fixed", "closed when inverting"]
    lands_on: str = field("lands on", "own earth terminal")
    allowed_by_maker: Literal["data sheet", "not stated", "no"] = field("allowed by maker", "not stated")


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
    cut_out_below_v: Voltage | None = field("cut-out below", None)
    output_limit: OutputLimitText | None = field("output limit", None)
    isolation: Literal["isolated", "not isolated"]
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


class Breaker(Inline):
    """A circuit-breaker; the curve is that of IEC 60898-1 where it has one."""

    KIND: ClassVar = "breaker"
    kind: Literal["breaker"]
    LETTER: ClassVar = "F"
    TOKENS: ClassVar[tuple[Token, ...]] = (CURVE, CURVE_ONLY, RATING, POLES, BREAKING, DC_VOLTAGE, AC_VOLTAGE)
    curve: Literal["B", "C", "D"] | None = None
    rating_a: Current = field("rating")
    breaking_capacity_a: BreakingCapacity | None = field("breaking capacity", None)
    dc_voltage_v: Voltage | None = field("dc voltage", None)
    ac_voltage_v: Voltage | None = field("ac voltage", None)


class Fuse(Inline):
    """A fuse; `type` as marked on it: blade, maxi, bolt-down, T, ANL-style bolt, gG …"""

    KIND: ClassVar = "fuse"
    kind: Literal["fuse"]
    LETTER: ClassVar = "F"
    TOKENS: ClassVar[tuple[Token, ...]] = (
        word_token("type", ("blade", "maxi", "bolt-down", "T", "gG", "gPV", "cartridge")),
        RATING,
        BREAKING,
        DC_VOLTAGE,
        AC_VOLTAGE,
    )
    type: Literal["blade", "maxi", "bolt-down", "T", "gG", "gPV", "cartridge"]
    rating_a: Current = field("rating")
    breaking_capacity_a: BreakingCapacity | None = field("breaking capacity", None)
    dc_voltage_v: Voltage | None = field("dc voltage", None)
    ac_voltage_v: Voltage | None = field("ac voltage", None)


class Rcd(Inline):
    """A residual current device without overcurrent protection."""

    KIND: ClassVar = "RCD"
    kind: Literal["RCD"]
    LETTER: ClassVar = "F"
    TOKENS: ClassVar[tuple[Token, ...]] = (RATING, POLES, RESIDUAL, RCD_TYPE, SELECTIVE, BREAKING)
    rating_a: Current = field("rating")
    residual_a: ResidualCurrent = field("residual current")
    residual_type: Literal["AC", "A", "F", "B"] = field("residual type")
    delay: Literal["none", "selective"] = "none"
    breaking_capacity_a: BreakingCapacity | None = field("breaking capacity", None)


class Rcbo(Breaker):
    """A circuit-breaker with residual current release."""

    KIND: ClassVar = "RCBO"
    kind: Literal["RCBO"]  # type: ignore[assignment]
    TOKENS: ClassVar[tuple[Token, ...]] = (*Breaker.TOKENS, RESIDUAL, RCD_TYPE, SELECTIVE)
    residual_a: ResidualCurrent = field("residual current")
    residual_type: Literal["AC", "A", "F", "B"] = field("residual type")
    delay: Literal["none", "selective"] = "none"


class GfciBreaker(Breaker):
    """A circuit-breaker with ground-fault circuit interrupter, Class A (UL 943)."""

    KIND: ClassVar = "GFCI breaker"
    kind: Literal["GFCI breaker"]  # type: ignore[assignment]


class Isolator(Inline):
    """A switch-disconnector."""

    KIND: ClassVar = "isolator"
    kind: Literal["isolator"]
    LETTER: ClassVar = "Q"
    TOKENS: ClassVar[tuple[Token, ...]] = (RATING, POLES, DC_VOLTAGE, AC_VOLTAGE)
    rating_a: Current = field("rating")
    dc_voltage_v: Voltage | None = field("dc voltage", None)
    ac_voltage_v: Voltage | None = field("ac voltage", None)
    normally: Literal["closed", "open"] = "closed"


class Meter(Inline):
    """A shunt or meter in the conductor."""

    KIND: ClassVar = "meter"
    kind: Literal["meter"]
    LETTER: ClassVar = "P"
    TOKENS: ClassVar[tuple[Token, ...]] = (RATING,)
    rating_a: Current = field("rating")


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


class Busbar(Equipment):
    """A bar or a terminal block: one potential, any number of conductors."""

    KIND: ClassVar = "busbar"
    kind: Literal["busbar"]
    PORTS: ClassVar = {"": ("*",)}
    LETTER: ClassVar = "W"
    TOKENS: ClassVar[tuple[Token, ...]] = (RATING,)
    rating_a: Current | None = field("rating", None)


class EarthBar(Equipment):
    """The bar on which protective conductors meet."""

    KIND: ClassVar = "earth bar"
    kind: Literal["earth bar"]
    PORTS: ClassVar = {"": ("*",)}
    LETTER: ClassVar = "W"


class LoadItem(Strict):
    """One appliance on a circuit."""

    TOKENS: ClassVar[tuple[Token, ...]] = (
        POWER,
        quantity_token("current", "current", "5 A", "A|mA"),
        Token(r"pf\s(?P<n>\d\.\d+|1)", (("power factor", "{n}"),), "pf 0.95"),
        Token(r"rides\s(?P<q>\d+(?:\.\d+)?\s?(?:ms|s))", (("rides", "{q}"),), "rides 20 ms"),
        Token(r"class\s(?P<w>III|II|I)", (("class", "{w}"),), "class II"),
        word_token("duty", ("continuous", "motor", "heater", "lighting")),
    )
    power_w: Power | None = field("power", None)
    current_a: Current | None = field("current", None)
    power_factor: Ratio | None = field("power factor", None)
    rides_s: Duration | None = field("rides", None)
    safety_class: Class = field("class", "I")
    duty: Literal["continuous", "motor", "heater", "lighting"] | None = None

    @model_validator(mode="after")
    def _draws_something(self) -> "LoadItem":
        if self.power_w is None and self.current_a is None:
            raise fail("load without power")
        return self


class Sockets(Equipment):
    """Socket-outlets on one circuit."""

    KIND: ClassVar = "sockets"
    kind: Literal["sockets"]
    PORTS: ClassVar = {"": AC}
    LETTER: ClassVar = "X"
    REQUIRED: ClassVar[tuple[str, ...]] = ("L", "N", "PE")
    TOKENS: ClassVar[tuple[Token, ...]] = (Token(r"(?P<n>\d+)\s?[×x]", (("count", "{n}"),), "4 ×"), RATING)
    count: quantity("count") = 1  # type: ignore[valid-type]
    rating_a: Current = field("rating")
    loads: dict[str, LoadItem] = Field(default_factory=dict)


class GfciReceptacle(Sockets):
    """Receptacle with its own ground-fault circuit interrupter, Class A (UL 943)."""

    KIND: ClassVar = "GFCI receptacle"
    kind: Literal["GFCI receptacle"]  # type: ignore[assignment]
    PORTS: ClassVar = {"": AC, "load": AC}


class Load(Equipment):
    """Fixed equipment that consumes."""

    KIND: ClassVar = "load"
    kind: Literal["load"]
    PORTS: ClassVar = {"": ("L", "L1", "L2", "N", "PE", "plus", "minus")}
    LETTER: ClassVar = "E"
    loads: dict[str, LoadItem] = Field(default_factory=dict)
    safety_class: Class = field("class", "I")


class Battery(Equipment):
    """The house battery or a starter battery."""

    KIND: ClassVar = "battery"
    kind: Literal["battery"]
    PORTS: ClassVar = {"": DC}
    LETTER: ClassVar = "G"
    REQUIRED: ClassVar[tuple[str, ...]] = DC
    TOKENS: ClassVar[tuple[Token, ...]] = (
        word_token("chemistry", ("LiFePO4", "lead-acid flooded", "lead-acid AGM", "lead-acid gel")),
        quantity_token("voltage", "voltage", "25.6 V"),
        quantity_token("capacity", "charge", "200 Ah"),
    )
    chemistry: Literal["LiFePO4", "lead-acid flooded", "lead-acid AGM", "lead-acid gel"]
    voltage_v: Voltage = field("voltage")
    capacity_ah: Charge = field("capacity")
    internal_resistance: InternalResistanceText | None = field("internal resistance", None)
    lowest_voltage_v: Voltage | None = field("lowest voltage", None)
    highest_voltage_v: Voltage | None = field("highest voltage", None)
    discharge_limit_a: Current | None = field("discharge limit", None)
    charge_limit_a: Current | None = field("charge limit", None)
    charge_cut_off_below_c: Temperature | None = field("charge cut-off below", None)
    fault_current_max_a: bounded("current", "at most") | None = field("prospective fault current", None)  # type: ignore[valid-type]
    use: Literal["house", "starter"] = "house"


class BatteryCharger(Equipment):
    """A charger fed from a.c."""

    KIND: ClassVar = "battery charger"
    kind: Literal["battery charger"]
    PORTS: ClassVar = {"": (*AC, *DC)}
    LETTER: ClassVar = "T"
    REQUIRED: ClassVar[tuple[str, ...]] = ("L", "N", "plus", "minus")
    TOKENS: ClassVar[tuple[Token, ...]] = (quantity_token("voltage", "voltage", "24 V"), RATING)
    voltage_v: Voltage = field("voltage")
    rating_a: Current = field("rating")
    efficiency: Ratio | None = None
    power_factor: Ratio | None = field("power factor", None)
    safety_class: Class = field("class", "I")


class DcDcCharger(Equipment):
    """A converter from one battery to another."""

    KIND: ClassVar = "DC-DC charger"
    kind: Literal["DC-DC charger"]
    PORTS: ClassVar = {"in": ("plus",), "out": ("plus",), "": ("minus", "PE")}
    THROUGH: ClassVar = ("in", "out")
    LETTER: ClassVar = "T"
    REQUIRED: ClassVar[tuple[str, ...]] = ("in.plus", "out.plus", "minus")
    TOKENS: ClassVar[tuple[Token, ...]] = (
        Token(
            r"(?P<a>\d+(?:\.\d+)?)\s?V\sto\s(?P<b>\d+(?:\.\d+)?)\s?V",
            (("input voltage", "{a} V"), ("voltage", "{b} V")),
            "12 V to 24 V",
        ),
        RATING,
    )
    input_voltage_v: Voltage = field("input voltage")
    voltage_v: Voltage = field("voltage")
    rating_a: Current = field("rating")
    efficiency: Ratio | None = None


class Alternator(Equipment):
    """The generator of the vehicle's or craft's engine."""

    KIND: ClassVar = "alternator"
    kind: Literal["alternator"]
    PORTS: ClassVar = {"": DC}
    LETTER: ClassVar = "G"
    REQUIRED: ClassVar[tuple[str, ...]] = ("plus",)
    TOKENS: ClassVar[tuple[Token, ...]] = (quantity_token("voltage", "voltage", "14 V"), RATING)
    voltage_v: Voltage = field("voltage")
    rating_a: Current = field("rating")


class SolarArray(Equipment):
    """Solar modules wired as one array."""

    KIND: ClassVar = "solar array"
    kind: Literal["solar array"]
    PORTS: ClassVar = {"": DC}
    LETTER: ClassVar = "G"
    REQUIRED: ClassVar[tuple[str, ...]] = DC
    TOKENS: ClassVar[tuple[Token, ...]] = (POWER,)
    power_w: Power = field("power")
    open_circuit_voltage_v: Voltage = field("open-circuit voltage")
    short_circuit_current_a: Current = field("short-circuit current")
    strings: quantity("count") = 1  # type: ignore[valid-type]


class SolarController(Equipment):
    """The charge controller of an array."""

    KIND: ClassVar = "solar controller"
    kind: Literal["solar controller"]
    PORTS: ClassVar = {"array": DC, "battery": DC}
    THROUGH: ClassVar = ("array", "battery")
    LETTER: ClassVar = "T"
    REQUIRED: ClassVar[tuple[str, ...]] = ("array.plus", "array.minus", "battery.plus", "battery.minus")
    TOKENS: ClassVar[tuple[Token, ...]] = (quantity_token("array voltage", "voltage", "100 V"), RATING)
    array_voltage_v: Voltage = field("array voltage")
    rating_a: Current = field("rating")


class GalvanicIsolator(Equipment):
    """Diodes in the protective conductor of a craft's supply."""

    KIND: ClassVar = "galvanic isolator"
    kind: Literal["galvanic isolator"]
    PORTS: ClassVar = {"in": ("PE",), "out": ("PE",)}
    THROUGH: ClassVar = ("in", "out")
    LETTER: ClassVar = "R"
    REQUIRED: ClassVar[tuple[str, ...]] = ("in.PE", "out.PE")
    TOKENS: ClassVar[tuple[Token, ...]] = (RATING,)
    rating_a: Current = field("rating")


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


class EarthElectrode(Equipment):
    """A rod, tape or plate in the ground."""

    KIND: ClassVar = "earth electrode"
    kind: Literal["earth electrode"]
    PORTS: ClassVar = {"": ("*",)}
    LETTER: ClassVar = "X"
    TOKENS: ClassVar[tuple[Token, ...]] = (quantity_token("resistance", "resistance", "20 ohm"),)
    resistance_ohm: Resistance = field("resistance")


class Structure(Equipment):
    """The metal body, chassis, hull or frame."""

    KIND: ClassVar = "structure"
    kind: Literal["structure"]
    PORTS: ClassVar = {"": ("*",)}
    LETTER: ClassVar = "X"


KINDS: dict[str, type[Equipment]] = {
    kind.KIND: kind
    for kind in (
        AcSupply, Generator, Inverter, InverterCharger, TransferSwitch, SelectorSwitch, Contactor, Breaker,
        Fuse, Rcd, Rcbo, GfciBreaker, GfciReceptacle, Isolator, Busbar, EarthBar, Sockets, Load, Battery,
        BatteryCharger, DcDcCharger, Alternator, SolarArray, SolarController, Meter, GalvanicIsolator,
        IsolatingTransformer, EarthElectrode, Structure, SupplyInlet,
    )
}  # fmt: skip

AnyEquipment = Annotated[
    AcSupply | Generator | Inverter | InverterCharger | TransferSwitch | SelectorSwitch | Contactor
    | Breaker | Fuse | Rcd | Rcbo | GfciBreaker | GfciReceptacle | Isolator | Busbar | EarthBar | Sockets
    | Load | Battery
    | BatteryCharger | DcDcCharger | Alternator | SolarArray | SolarController | Meter | GalvanicIsolator
    | IsolatingTransformer | EarthElectrode | Structure | SupplyInlet,
    Field(discriminator="kind"),
]  # fmt: skip
