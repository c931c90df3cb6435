"""What a procedure is: a state to begin in, and steps of one action each on a part that is really there.

The sentences are in `words/procedures.yaml` under the codes; here stand the parts and figures that fill them.
"""

from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

Who = Literal["ordinary", "instructed", "skilled"]


@dataclass(frozen=True)
class Parts:
    """Equipment that a sentence names, by ids, in the order in which it is said."""

    ids: tuple[str, ...]


@dataclass(frozen=True)
class Step:
    """One action: `code` is a key of the words, `fields` fill its sentences, `at` is the part acted on.

    Where to go if what is seen is not what should be seen is part of the words.
    """

    code: str
    at: tuple[str, ...] = ()
    fields: dict[str, object] = field(default_factory=dict)


@dataclass(frozen=True)
class Procedure:
    """Steps in order. `begins` and `ends` are ids of operating states, empty where every state will do.

    `number` tells apart procedures of one code, such as those of two inlets; `subject` is the part it is about.
    `skilled` are the steps that only a skilled person takes, after the others.
    """

    code: str
    steps: tuple[Step, ...]
    begins: tuple[str, ...] = ()
    ends: tuple[str, ...] = ()
    subject: str = ""
    number: int = 1
    skilled: tuple[Step, ...] = ()
    fields: dict[str, object] = field(default_factory=dict)

    @property
    def key(self) -> str:
        """Its name within the build: the code, with a number from the second one on."""
        return self.code if self.number == 1 else f"{self.code}-{self.number}"


@dataclass(frozen=True)
class Answer:
    """What is seen, and where that leads: the code of a question, of an end, or of a procedure."""

    code: str
    to: str


@dataclass(frozen=True)
class Question:
    """One thing to do or look at after a trip, and what may be seen then."""

    code: str
    answers: tuple[Answer, ...]
    at: tuple[str, ...] = ()
    fields: dict[str, object] = field(default_factory=dict)


@dataclass(frozen=True)
class Serves:
    """A device with what goes out when it opens."""

    device: str
    feeds: tuple[str, ...]


@dataclass(frozen=True)
class Tree:
    """The way from a tripped device to its cause: the owner's questions, then what a skilled person does.

    `residual`, `breakers` and `fuses` are the devices with what each serves.
    """

    questions: tuple[Question, ...]
    skilled: tuple[Step, ...]
    residual: tuple[Serves, ...]
    breakers: tuple[Serves, ...]
    fuses: tuple[Serves, ...]

    @cached_property
    def order(self) -> dict[str, int]:
        """Code of a question -> its number as printed."""
        return {question.code: number for number, question in enumerate(self.questions, 1)}


@dataclass(frozen=True)
class Symptom:
    """What somebody notices, in plain words, and the procedure or chapter that leads on."""

    code: str
    to: str
    fields: dict[str, object] = field(default_factory=dict)


@dataclass(frozen=True)
class Procedures:
    """All that a build needs, the emergency apart; `tree` is None where nothing can trip."""

    emergency: Procedure
    procedures: tuple[Procedure, ...]
    tree: Tree | None
    symptoms: tuple[Symptom, ...]

    def has(self, code: str) -> bool:
        """Tell whether a procedure of this code applies to the build."""
        return (
            code == "emergency"
            or any(p.code == code for p in self.procedures)
            or (code == "after-trip" and self.tree is not None)
        )
