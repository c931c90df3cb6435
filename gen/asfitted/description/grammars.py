"""The words that each short form may hold: of equipment, cables, bundles and spaces."""

from collections.abc import Sequence

from asfitted.description.draft import Names
from asfitted.description.kinds import SHOCK_CLASS, STATUS, Equipment
from asfitted.description.schema import INSULATIONS, METHODS
from asfitted.description.tokens import Token, quantity_token, word_token
from asfitted.description.units import NUMBER
from asfitted.description.values import SIZE_PATTERN

BUNDLE = (
    word_token("arrangement", ("bunched", "single layer", "spaced")),
    quantity_token("ambient", "temperature", "40 °C"),
)
SPACE = (
    quantity_token("ambient", "temperature", "60 °C"),
    Token(rf"lowest\s(?P<q>{NUMBER}\s?(?:°C|°F|degC|degF))", (("lowest", "{q}"),), "lowest -10 °C"),
    Token(
        rf"insulation\saround\s(?P<q>{NUMBER}\s?(?:mm|cm|m|in))",
        (("insulation around", "{q}"),),
        "insulation around 300 mm",
    ),
    word_token("engine", ("petrol", "diesel")),
    word_token("holds", ("gas cylinders", "petrol tank")),
    word_token("vented", ("not vented", "vented")),
    word_token("wet", ("outside", "wet")),
)


def equipment(kind: type[Equipment], names: Names) -> tuple[Token, ...]:
    """Return the words of a kind's short form, those that every kind shares included."""
    return (
        *kind.TOKENS,
        *((SHOCK_CLASS,) if "safety_class" in kind.model_fields else ()),
        STATUS,
        *_named("in", "in ", names.boards),
        *_named("space", "through ", names.spaces),
    )


def cable(names: Names) -> tuple[Token, ...]:
    """Return the words of a cable's short form."""
    return (
        quantity_token("length", "length", "7 m"),
        Token(rf"insulated\sfor\s(?P<q>{NUMBER}\s?V)", (("voltage", "{q}"),), "insulated for 450 V"),
        Token(rf"(?P<s>{SIZE_PATTERN})", (("size", "{s}"),), "2.5 mm²", ("2.5 mm²", "12 AWG")),
        Token(
            rf"(?P<n>\d)\s?[×x*]\s?(?P<s>{SIZE_PATTERN})", (("count", "{n}"), ("size", "{s}")), "3 × 2.5 mm²"
        ),
        # As it is printed on the sheath: G with a protective conductor among the cores, X without.
        Token(
            r"(?P<n>\d)(?:\s?G\s?|[x×])(?P<s>\d+(?:\.\d+)?)(?:\s?mm[²2])?(?!\s?A\b)",
            (("count", "{n}"), ("size", "{s} mm²")),
            "3G2.5",
        ),
        Token(
            r"(?P<n>\d)\s?X\s?(?P<s>\d+(?:\.\d+)?)(?:\s?mm[²2])?",
            (("count", "{n}"), ("size", "{s} mm²"), ("without PE", "{n}")),
            "2X2.5",
        ),
        Token(r"auto", (("size", "auto"),), "auto"),
        Token(
            rf"at\sleast\s(?P<s>{SIZE_PATTERN})", (("size", "auto"), ("at least", "{s}")), "at least 4 mm²"
        ),
        Token(rf"PE\s(?P<s>{SIZE_PATTERN})", (("PE size", "{s}"),), "PE 1.5 mm²"),
        Token(r"(?P<c>(?:L1|L2|L|N|PE)(?:\s(?:L1|L2|L|N|PE))+)", (("conductors", "{c}"),), "L N"),
        word_token("insulation", INSULATIONS),
        word_token("method", METHODS),
        word_token("conductor class", ("class 2", "class 5")),
        STATUS,
        *_named("bundle", "in ", names.bundles),
        *_named("space", "through ", names.spaces),
        *_named("cable class", "", names.cable_classes),
    )


def _named(fieldname: str, before: str, names: Sequence[str]) -> tuple[Token, ...]:
    return (word_token(fieldname, names, before=before),) if names else ()
