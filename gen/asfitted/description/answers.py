"""What a builder answers at the start, and what is wrong with an answer that cannot be used."""

import re
from dataclasses import dataclass
from typing import Literal

from asfitted import words
from asfitted.description import forms
from asfitted.description.draft import Draft
from asfitted.description.kinds import Battery
from asfitted.description.marks import START
from asfitted.description.problems import Problem
from asfitted.description.tree import Scalar
from asfitted.description.units import QuantityError, parse

Region = Literal["Europe", "United Kingdom", "North America"]
Setting = Literal["road vehicle", "trailer", "boat", "cabin", "house"]
#: settings that plug into what they find
MOBILE = ("road vehicle", "trailer", "boat")
#: volts of a cell: nominal, empty, full (common practice), and how many cells stand in a block of 12 V
_CELLS_V = {"LiFePO4": (3.2, 3.0, 3.55), "lead-acid": (2.0, 1.75, 2.4)}
_CELLS_IN_12_V = {"LiFePO4": 4, "lead-acid": 6}
_BLOCK_V = 12.8


class AnswerError(ValueError):
    """An answer that cannot be used; `question` and `answer` name it, `advice` says what is wrong with it."""

    def __init__(self, question: str, answer: str, advice: str = "") -> None:
        super().__init__(f"{question}: {answer}")
        self.question = question
        self.answer = answer
        self.advice = advice


@dataclass(frozen=True)
class CircuitAnswer:
    """One circuit: its name, and the load on it with its power."""

    name: str
    load: str
    power: str

    @classmethod
    def read(cls, question: str, text: str) -> "CircuitAnswer":
        """Read `kitchen=kettle 1 kW`; raises AnswerError."""
        match = re.fullmatch(r"([^=]+)=\s*(\S.*?)\s+([+-]?\d[\d.,]*\s?\S*)\s*", text)
        if not match or not id_of(match[1]):
            raise AnswerError(question, text)
        _quantity(question, match[3], "power", text)
        return cls(match[1].strip(), match[2], match[3])

    @property
    def power_w(self) -> float:
        """The power in W; raises AnswerError if it was never read."""
        return _quantity(self.name, self.power, "power")


@dataclass(frozen=True)
class Answers:
    """What a builder knows at the start; as it stands, a road vehicle at 230 V in Europe."""

    setting: Setting = "road vehicle"
    region: Region = "Europe"
    supply: str = "16 A"
    inverter: str = "1.6 kW"
    battery: str = "LiFePO4 25.6 V 200 Ah"
    ac: tuple[CircuitAnswer, ...] = (CircuitAnswer("kitchen", "kettle", "1 kW"),)
    dc: tuple[CircuitAnswer, ...] = (CircuitAnswer("lamps", "ceiling lamps", "48 W"),)
    title: str = ""
    reference: str = "B-1"


@dataclass(frozen=True)
class BatteryAnswer:
    """A battery: its chemistry, its nominal voltage by its cells, and the voltages between which it works."""

    chemistry: str
    voltage_v: float
    capacity_ah: float
    lowest_v: float
    highest_v: float

    @property
    def lithium(self) -> bool:
        """Whether frost and its own electronics are to be minded."""
        return self.chemistry == "LiFePO4"

    @property
    def system_v(self) -> int:
        """The voltage that equipment for it is sold under."""
        return 12 * _blocks(self.voltage_v)


def check_supply(text: str) -> float:
    """Return the rated current of a supply in A; raises AnswerError."""
    return _quantity("supply", text, "current")


def check_inverter(text: str) -> float:
    """Return the power of an inverter in W, 0 for none; raises AnswerError."""
    return 0.0 if text.strip() == "none" else _quantity("inverter", text, "power")


def read_battery(text: str) -> BatteryAnswer:
    """Read `LiFePO4 24 V 200 Ah`; 24 V of LiFePO4 are eight cells, 25.6 V. Raises AnswerError."""
    draft = Draft(Scalar("battery", START))
    grammar = Battery.TOKENS
    problems, _ = forms.read_tokens(Scalar(text, START), 0, grammar, draft, "battery")
    if problems:
        raise AnswerError("battery", text, _advice(problems[0]))
    for name in ("chemistry", "voltage", "capacity"):
        if not draft.text(name):
            raise AnswerError("battery", text, words.text("new", f"missing.{name}"))
    voltage_v = _quantity("battery", draft.text("voltage"), "voltage", text)
    capacity_ah = _quantity("battery", draft.text("capacity"), "charge", text)
    chemistry = draft.text("chemistry")
    family = chemistry.split()[0]
    nominal, empty, full = _CELLS_V[family]
    cells = _blocks(voltage_v) * _CELLS_IN_12_V[family]
    if not 0.9 <= cells * nominal / voltage_v <= 1.1:
        raise AnswerError("battery", text, words.text("new", "no such voltage"))
    return BatteryAnswer(
        chemistry, round(cells * nominal, 1), capacity_ah, round(cells * empty, 1), round(cells * full, 1)
    )


def _blocks(voltage_v: float) -> int:
    """Return how many blocks of 12 V a battery has, four at the most."""
    return min(max(1, round(voltage_v / _BLOCK_V)), 4)


def _quantity(question: str, text: str, dimension: str, answer: str = "") -> float:
    try:
        return parse(text, dimension)
    except QuantityError as error:
        raise AnswerError(
            question, answer or text, _advice(Problem(error.code, START, error.fields))
        ) from None


def _advice(problem: Problem) -> str:
    return f"{problem.sentence('message')} {problem.sentence('right')}"


def id_of(name: str) -> str:
    """Return a name as an id: "tea corner" becomes `tea_corner`; empty if nothing is left."""
    words = re.findall(r"[A-Za-z0-9]+", name)
    joined = "_".join(words)[:36]
    return joined if joined[:1].isalpha() else ""
