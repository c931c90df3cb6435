"""What all kinds share: fields, conductors, the words that several of them use."""

from typing import Any, ClassVar, Literal, Self

from pydantic import (
    BaseModel,
    Field,
    ModelWrapValidatorHandler,
    PrivateAttr,
    field_validator,
    model_validator,
)

from asfitted.description.tokens import Token, quantity_token, word_token
from asfitted.description.values import EvidenceText, Strict, Temperature, fail

Status = Literal["planned", "installed", "tested"]
Class = Literal["I", "II", "III"]
#: of a converter: whether its battery minus meets its case inside
MinusToCase = Literal["joined", "apart"]
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
    #: field as it is written -> what its value rests on
    evidence: dict[str, EvidenceText] = Field(default_factory=dict)
    private: dict[str, Any] | None = None

    @field_validator("evidence")
    @classmethod
    def _of_own_fields(cls, evidence: dict[str, Any]) -> dict[str, Any]:
        for name in evidence:
            if name not in field_names(cls):
                raise fail("not one of", found=name, allowed=tuple(field_names(cls)))
        return evidence


class Inline(Equipment):
    """Equipment that conductors pass through, with a contact in some of them."""

    PORTS: ClassVar = {"in": (), "out": ()}
    THROUGH: ClassVar = ("in", "out")
    #: it compares the currents of all live conductors, so that all of them pass through it whatever it opens
    SUMS_CURRENTS: ClassVar[bool] = False
    contacts: tuple[Literal["L", "L1", "L2", "N", "plus", "minus", "PE"], ...] = ()
    poles: Literal["1P", "1P+N", "2P", "3P", "4P"] | None = None
    #: II where an insulating enclosure lies between its conductors and metal; None: nobody says
    safety_class: Class | None = field("class", None)


class Choosable(Inline):
    """Equipment of which the program chooses what `auto` leaves open, while it is planned.

    Where the rating is left open, all that the description does not say besides is left open with it.
    """

    #: fields that may be left open -> what stands there until they are chosen (None: nothing). A rating of 1 mA
    #: carries no load: whatever forgets to choose it fails.
    OPEN: ClassVar[dict[str, str | None]] = {"rating": "1 mA"}
    _left_open: tuple[str, ...] = PrivateAttr(())

    @property
    def left_open(self) -> tuple[str, ...]:
        """The fields that are left to the program, as they are written."""
        return self._left_open

    def leaving_open(self, *fields: str) -> Self:
        """Return the same device with fields left to the program, named as they are written."""
        copy = self.model_copy()
        copy._left_open = fields
        return copy

    @model_validator(mode="wrap")
    @classmethod
    def _leave_open(cls, data: Any, handler: ModelWrapValidatorHandler[Self]) -> Self:
        if not isinstance(data, dict):
            return handler(data)
        whole = data.get("rating") == "auto"
        fields = tuple(f for f in cls.OPEN if data.get(f, "auto" if whole else "") == "auto")
        kept = {name: value for name, value in data.items() if name not in fields}
        built = handler({**kept, **{f: stand_in for f in fields if (stand_in := cls.OPEN[f]) is not None}})
        built._left_open = fields
        return built


POLES = word_token("poles", ("1P+N", "1P", "2P", "3P", "4P"))
RATING = quantity_token("rating", "current", "16 A", "A")
AUTO = Token(r"auto", (("rating", "auto"),), "auto")
BREAKING = quantity_token("breaking capacity", "current", "6 kA", "kA")
RESIDUAL = quantity_token("residual current", "current", "30 mA", "mA")
DC_VOLTAGE = quantity_token("dc voltage", "voltage", "32 V dc", after=r"\sdc")
AC_VOLTAGE = quantity_token("ac voltage", "voltage", "230 V ac", after=r"\sac")
CURVE = Token(r"(?P<c>[BCD])(?P<r>\d+(?:\.\d+)?)", (("curve", "{c}"), ("rating", "{r} A")), "C16")
CURVE_ONLY = word_token("curve", ("B", "C", "D"))
RCD_TYPE = word_token("residual type", ("AC", "A", "F", "B"), before="type ")
SELECTIVE = word_token("delay", ("S",), "selective")
STATUS = word_token("status", ("planned", "installed", "tested"))
SHOCK_CLASS = word_token("class", ("I", "II", "III"), before="class ")
POWER = quantity_token("power", "power", "1.6 kW")
