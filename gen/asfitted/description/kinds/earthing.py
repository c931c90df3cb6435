"""Bars, and what belongs to earth."""

from typing import ClassVar, Literal

from asfitted.description.kinds.base import RATING, Class, Equipment, field
from asfitted.description.tokens import Token, quantity_token
from asfitted.description.values import Current, Resistance


class Busbar(Equipment):
    """A bar or a terminal block: one potential, any number of conductors."""

    KIND: ClassVar = "busbar"
    kind: Literal["busbar"]
    PORTS: ClassVar = {"": ("*",)}
    LETTER: ClassVar = "W"
    TOKENS: ClassVar[tuple[Token, ...]] = (RATING,)
    rating_a: Current | None = field("rating", None)
    safety_class: Class | None = field("class", None)


class EarthBar(Equipment):
    """The bar on which protective conductors meet."""

    KIND: ClassVar = "earth bar"
    kind: Literal["earth bar"]
    PORTS: ClassVar = {"": ("*",)}
    LETTER: ClassVar = "W"


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
