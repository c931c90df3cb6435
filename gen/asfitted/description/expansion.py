"""What is known while short forms are expanded: equipment and cables found so far, defaults, steps of runs,
problems.
"""

from dataclasses import dataclass, field

from asfitted.description import forms, grammars
from asfitted.description.draft import IDENTIFIER, Draft, Names
from asfitted.description.landing import Thing
from asfitted.description.marks import Mark
from asfitted.description.problems import Problem
from asfitted.description.tree import Mapping, Node, Scalar, Sequence, walk


@dataclass(frozen=True)
class Step:
    """One stretch of a run: from a thing to the next, by a cable or bolted."""

    kind: str
    a: Thing
    b: Thing
    cable: Draft | None


@dataclass
class Expansion:
    """Everything collected in the first pass, and the problems of both.

    `spoiled` names equipment and cables of which a part could not be read: what seems to be missing there is
    not.
    `lost` names what stands in the file but could not be read at all: its name used elsewhere is no second
    problem.
    `fed` holds the devices of circuits with their boards, to be bolted to its bars if no run leads to them.
    """

    problems: list[Problem] = field(default_factory=list)
    names: Names = field(default_factory=Names)
    board_marks: dict[str, Mark] = field(default_factory=dict)
    boards: dict[str, dict[str, str]] = field(default_factory=dict)
    equipment: dict[str, Draft] = field(default_factory=dict)
    cables: dict[str, Draft] = field(default_factory=dict)
    links: list[tuple[Scalar, Scalar]] = field(default_factory=list)
    steps: list[Step] = field(default_factory=list)
    equipment_defaults: list[Draft] = field(default_factory=list)
    cable_defaults: dict[str, Draft] = field(default_factory=dict)
    status: Scalar | None = None
    fed: list[tuple[str, str, Mark]] = field(default_factory=list)
    spoiled: set[str] = field(default_factory=set)
    lost: set[str] = field(default_factory=set)

    def say(self, code: str, mark: Mark, **fields: object) -> None:
        """Note a problem."""
        self.problems.append(Problem(code, mark, fields))

    def read_equipment(self, id_: Scalar, node: Node) -> Draft:
        """Read a piece of equipment in any of its forms; what could not be read spoils it."""
        draft, problems = forms.equipment(id_, node, self.names)
        self.take(id_.text, problems)
        return draft

    def read_cable(self, id_: Scalar, text: Scalar) -> Draft:
        """Read the short form of a cable."""
        draft = Draft(id_)
        self.take(
            id_.text, forms.read_tokens(text, 0, grammars.cable(self.names), draft, f"cable “{id_.text}”")[0]
        )
        return draft

    def take(self, id_: str, problems: list[Problem]) -> None:
        """Note the problems of reading one thing."""
        self.problems += problems
        if problems:
            self.spoiled.add(id_)

    def add_equipment(self, draft: Draft) -> None:
        """Add a piece of equipment under its id, filled in from the builder's defaults."""
        if self._is_new(draft):
            self._fill_in(draft)
            self.equipment[draft.id.text] = draft

    def add_cable(self, draft: Draft) -> None:
        """Add a cable under its id."""
        if self._is_new(draft):
            self.cables[draft.id.text] = draft

    def _is_new(self, draft: Draft) -> bool:
        id_ = draft.id
        if not IDENTIFIER.fullmatch(id_.text):
            self.say("not an id", id_.mark, id=id_.text)
        earlier = self.equipment.get(id_.text) or self.cables.get(id_.text)
        mark = earlier.id.mark if earlier is not None else self.board_marks.get(id_.text)
        if mark is not None:
            self.say("duplicate id", id_.mark, id=id_.text, first=str(mark))
        return mark is None

    def _fill_in(self, draft: Draft) -> None:
        """Give the draft what the builder's defaults say of its kind; before landing, which depends on its
        poles.
        """
        for default in self.equipment_defaults:
            if default.text("kind") != draft.text("kind"):
                continue
            given = {name: node for name, (_, node) in default.fields.items() if name != "kind"}
            # A default such as `fuse T` holds for fuses that are said to be of type T; it makes none one.
            if "type" in given and draft.text("type") != default.text("type"):
                continue
            for name, node in given.items():
                draft.put_default(name, node)
        if self.status is not None:
            draft.put_default("status", self.status)

    def lose(self, *nodes: Node) -> None:
        """Note every name in a part of the file that could not be read."""
        self.lost |= {
            text for node in nodes for scalar in walk(node) for text in (scalar.text, *scalar.text.split())
        }

    def entries(self, tree: Mapping, section: str) -> tuple[tuple[Scalar, Node], ...]:
        """Return the entries of a section; none, with a problem, if it has another form."""
        node = tree.get(section)
        if node is not None and not isinstance(node, Mapping):
            self.say("mapping expected", node.mark, where=f"“{section}”")
        return node.entries if isinstance(node, Mapping) else ()

    def items(self, tree: Mapping, section: str) -> tuple[Node, ...]:
        """Return the rows of a section; none, with a problem, if it has another form."""
        node = tree.get(section)
        if node is not None and not isinstance(node, Sequence):
            self.say("list expected", node.mark, where=f"“{section}”")
        return node.items if isinstance(node, Sequence) else ()
