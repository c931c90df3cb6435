"""What consumes: appliances, sockets, fixed equipment."""

from typing import ClassVar, Literal

from pydantic import Field, model_validator

from asfitted.description.kinds.base import AC, POWER, RATING, Class, Equipment, field
from asfitted.description.tokens import Token, quantity_token, word_token
from asfitted.description.values import Current, Duration, Power, Ratio, StartText, Strict, fail, quantity


class LoadItem(Strict):
    """One appliance on a circuit."""

    TOKENS: ClassVar[tuple[Token, ...]] = (
        POWER,
        quantity_token("current", "current", "5 A", "A|mA"),
        Token(r"pf\s(?P<n>\d\.\d+|1)", (("power factor", "{n}"),), "pf 0.95"),
        Token(r"rides\s(?P<q>\d+(?:\.\d+)?\s?(?:ms|s))", (("rides", "{q}"),), "rides 20 ms"),
        Token(
            r"starts\s(?P<q>\d+(?:\.\d+)?\s?A\sfor\s\d+(?:\.\d+)?\s?(?:ms|s))",
            (("starting current", "{q}"),),
            "starts 9 A for 0.5 s",
        ),
        Token(
            r"restarts\safter\s(?P<q>\d+(?:\.\d+)?\s?(?:min|s))",
            (("restart delay", "{q}"),),
            "restarts after 180 s",
        ),
        Token(r"restarts\s(?P<w>by hand|by itself)", (("restarts", "{w}"),), "restarts by hand"),
        Token(r"class\s(?P<w>III|II|I)", (("class", "{w}"),), "class II"),
        word_token("duty", ("continuous", "motor", "machine", "compressor", "heater", "lighting", "alarm")),
        word_token("priority", ("essential", "first to go")),
    )
    power_w: Power | None = field("power", None)
    current_a: Current | None = field("current", None)
    power_factor: Ratio | None = field("power factor", None)
    rides_s: Duration | None = field("rides", None)
    starting: StartText | None = field("starting current", None)
    restart_delay_s: Duration | None = field("restart delay", None)
    restarts: Literal["by hand", "by itself"] | None = None
    safety_class: Class = field("class", "I")
    duty: Literal["continuous", "motor", "machine", "compressor", "heater", "lighting", "alarm"] | None = None
    priority: Literal["essential", "first to go"] | None = None

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
    TOKENS: ClassVar[tuple[Token, ...]] = (Token(r"(?P<n>\d+)\s?[×x*]", (("count", "{n}"),), "4 ×"), RATING)
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
