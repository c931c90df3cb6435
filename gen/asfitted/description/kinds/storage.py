"""The d.c. side: batteries, what charges them, and where direct current comes from outside."""

from typing import ClassVar, Literal

from asfitted.description.kinds.base import AC, DC, POWER, RATING, Class, Equipment, MinusToCase, field
from asfitted.description.tokens import Token, quantity_token, word_token
from asfitted.description.values import (
    BearableText,
    Bearing,
    Charge,
    Current,
    Duration,
    Exponent,
    InternalResistanceText,
    Power,
    Ratio,
    Temperature,
    Tilt,
    Voltage,
    bounded,
    quantity,
)


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
    discharge_limit: BearableText | None = field("discharge limit", None)
    charge_limit_a: Current | None = field("charge limit", None)
    charge_cut_off_below_c: Temperature | None = field("charge cut-off below", None)
    protection_opens_below_v: Voltage | None = field("protection opens below", None)
    protection_opens_above: BearableText | None = field("protection opens above", None)
    fault_current_max_a: bounded("current", "at most") | None = field("prospective fault current", None)  # type: ignore[valid-type]
    use: Literal["house", "starter"] = "house"
    usable: Ratio | None = None
    peukert: Exponent | None = None
    rated_s: Duration | None = field("rated over", None)
    charge_efficiency: Ratio | None = field("charge efficiency", None)
    absorption_s: Duration | None = field("absorption time", None)
    self_discharge: Ratio | None = field("self-discharge", None)
    own_draw_w: Power | None = field("own draw", None)

    @property
    def discharge_limit_a(self) -> float | None:
        """The largest current out that its maker allows for good."""
        return self.discharge_limit.lasting_a if self.discharge_limit else None

    @property
    def protection_opens_above_a(self) -> float | None:
        """The current out above which its own protection opens sooner or later."""
        return self.protection_opens_above.lasting_a if self.protection_opens_above else None

    @property
    def has_protection(self) -> bool:
        """Whether its own electronics may open: those of every lithium battery, of others if they are described."""
        said = (self.protection_opens_below_v, self.protection_opens_above_a, self.charge_cut_off_below_c)
        return self.chemistry == "LiFePO4" or any(value is not None for value in said)


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
    minus_to_case: MinusToCase | None = field("minus to case", None)
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
    tilt_deg: Tilt | None = field("tilt", None)
    faces_deg: Bearing | None = field("faces", None)
    losses: Ratio | None = None


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
    efficiency: Ratio | None = None


class DcSupply(Equipment):
    """Direct current from outside: the charge line of a tow vehicle, a post on a jetty."""

    KIND: ClassVar = "dc supply"
    kind: Literal["dc supply"]
    PORTS: ClassVar = {"": DC}
    LETTER: ClassVar = "G"
    REQUIRED: ClassVar[tuple[str, ...]] = DC
    TOKENS: ClassVar[tuple[Token, ...]] = (quantity_token("voltage", "voltage", "12 V"), RATING)
    voltage_v: Voltage = field("voltage")
    rating_a: Current = field("rating")
    fault_current_max_a: bounded("current", "at most") | None = field("prospective fault current", None)  # type: ignore[valid-type]


class DcInlet(Equipment):
    """The pins for direct current from outside: a tow plug, the inlet of a portable array."""

    KIND: ClassVar = "dc inlet"
    kind: Literal["dc inlet"]
    PORTS: ClassVar = {"coupler": DC, "pins": DC}
    THROUGH: ClassVar = ("coupler", "pins")
    LETTER: ClassVar = "X"
    REQUIRED: ClassVar[tuple[str, ...]] = ("pins.plus", "pins.minus")
    TOKENS: ClassVar[tuple[Token, ...]] = (RATING,)
    rating_a: Current = field("rating")
