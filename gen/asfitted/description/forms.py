"""Short forms read: the text of a piece of equipment, of a cable, of a load, as long-form fields at their places."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from asfitted.description import tokens
from asfitted.description.marks import Mark
from asfitted.description.kinds import KINDS, STATUS, Equipment, LoadItem
from asfitted.description.problems import Problem, meant
from asfitted.description.reader import Mapping, Node, Scalar
from asfitted.description.schema import INSULATIONS, METHODS
from asfitted.description.tokens import Token, Unread, quantity_token, word_token
from asfitted.description.units import NUMBER
from asfitted.description.values import SIZE_PATTERN

IDENTIFIER = re.compile(r"[A-Za-z][A-Za-z0-9_-]{0,39}")


@dataclass
class Draft:
    """A mapping of the long form while it is being written: field name -> (key with its place, value)."""

    id: Scalar
    fields: dict[str, tuple[Scalar, Node]] = field(default_factory=dict)

    def put(self, name: str, value: Node, key: Scalar | None = None) -> None:
        """Set a field; its key stands where the value stands unless given."""
        self.fields[name] = (key or Scalar(name, value.mark), value)

    def put_default(self, name: str, value: Node) -> None:
        """Set a field that the description itself has not given."""
        if name not in self.fields:
            self.put(name, value)

    def text(self, name: str) -> str:
        """Return the text of a field, or an empty text."""
        value = self.fields.get(name, (None, None))[1]
        return value.text if isinstance(value, Scalar) else ""

    @property
    def kind(self) -> type[Equipment] | None:
        """The kind of equipment, if it is a known one."""
        return KINDS.get(self.text("kind"))

    def node(self) -> Mapping:
        """Return the finished mapping."""
        return Mapping(tuple(self.fields.values()), self.id.mark)


@dataclass(frozen=True)
class Names:
    """Names that tokens may mention: boards, bundles, spaces, and the builder's own classes of cable."""

    boards: tuple[str, ...] = ()
    bundles: tuple[str, ...] = ()
    spaces: tuple[str, ...] = ()
    cable_classes: tuple[str, ...] = ()


def split_kind(text: str) -> tuple[str, str, int]:
    """Return (kind, rest, offset of the rest) of a text that starts with the name of a kind; the kind is empty if none does."""
    for kind in sorted(KINDS, key=len, reverse=True):
        if text == kind or text.startswith(kind + " "):
            rest = text[len(kind) :]
            return kind, rest.lstrip(), len(text) - len(rest.lstrip())
    return "", text, 0


def _named(fieldname: str, before: str, names: Sequence[str]) -> tuple[Token, ...]:
    return (word_token(fieldname, names, before=before),) if names else ()


def equipment_grammar(kind: type[Equipment], names: Names) -> tuple[Token, ...]:
    """Return the tokens of a kind's short form, those that every kind shares included."""
    return (
        *kind.TOKENS,
        STATUS,
        *_named("in", "in ", names.boards),
        *_named("space", "through ", names.spaces),
    )


def cable_grammar(names: Names) -> tuple[Token, ...]:
    """Return the tokens of a cable's short form."""
    return (
        Token(rf"(?P<s>{SIZE_PATTERN})", (("size", "{s}"),), "2.5 mm²"),
        Token(rf"(?P<n>\d)\s?[×x]\s?(?P<s>{SIZE_PATTERN})", (("count", "{n}"), ("size", "{s}")), "3 × 2.5 mm²"),
        Token(rf"PE\s(?P<s>{SIZE_PATTERN})", (("PE size", "{s}"),), "PE 1.5 mm²"),
        Token(r"(?P<c>(?:L|L1|L2|N|PE)(?:\s(?:L1|L2|L|N|PE))+)", (("conductors", "{c}"),), "L N"),
        Token(r"auto", (("size", "auto"),), "auto"),
        Token(rf"at\sleast\s(?P<s>{SIZE_PATTERN})", (("size", "auto"), ("at least", "{s}")), "at least 4 mm²"),
        quantity_token("length", "length", "7 m"),
        word_token("insulation", INSULATIONS),
        word_token("method", METHODS),
        word_token("conductor class", ("class 2", "class 5")),
        STATUS,
        *_named("bundle", "in ", names.bundles),
        *_named("space", "through ", names.spaces),
        *_named("cable class", "", names.cable_classes),
    )


def read_tokens(
    text: Scalar, offset: int, grammar: Sequence[Token], into: Draft, subject: str, identifiers: bool = False
) -> tuple[list[Problem], list[Scalar]]:
    """Read the tokens of `text` from `offset` on into a draft.

    Returns the problems, and the identifiers found where a short form may end in one (`4 × 16 A desk`).
    """
    problems: list[Problem] = []
    found: list[Scalar] = []
    for read in tokens.read(text.text[offset:], grammar):
        mark = text.at(offset + read.offset)
        if isinstance(read, Unread):
            if identifiers and IDENTIFIER.fullmatch(read.text):
                found.append(Scalar(read.text, mark))
            else:
                problems.append(unknown_token(read.text, mark, grammar, subject))
            continue
        for name, value in read.fields:
            earlier = into.fields.get(name)
            if earlier is not None:
                fields: dict[str, object] = {"field": name, "text": read.text, "first": str(earlier[1].mark)}
                problems.append(Problem("said twice", mark, fields))
            else:
                into.put(name, Scalar(value, mark))
    return problems, found


def unknown_token(word: str, mark: Mark, grammar: Sequence[Token], subject: str) -> Problem:
    """Return the problem of a word that means nothing here, with what would."""
    examples = [token.example for token in grammar]
    comma = re.match(r"[+-]?\d+,\d", word)
    if comma:
        return Problem("decimal comma", mark, {"text": word, "right": word.replace(",", ".", 1)})
    return Problem("unknown token", mark, {"word": word, "subject": subject, "meant": meant(word, examples, 20)})


def equipment(id_: Scalar, node: Node, names: Names) -> tuple[Draft, list[Problem]]:
    """Return the draft of a piece of equipment from any of its forms: text, mapping with a kind as key, long form."""
    draft = Draft(id_)
    if isinstance(node, Scalar):
        return draft, _kind_and_tokens(node, node, draft, names)
    if not isinstance(node, Mapping):
        return draft, [Problem("mapping expected", node.mark, {"where": id_.text, "found": "list"})]
    if node.key("kind") is not None:
        for key, value in node.entries:
            draft.put(key.text, value, key)
        return draft, loads(draft)
    problems: list[Problem] = []
    head = next(((k, v) for k, v in node.entries if split_kind(k.text)[0]), None)
    if head is None:
        first = node.entries[0][0].text if node.entries else ""
        advice = meant(first, KINDS)
        return draft, [Problem("no kind", id_.mark, {"id": id_.text, "meant": advice})]
    for key, value in node.entries:
        if key is not head[0]:
            draft.put(key.text, value, key)
    problems += _kind_and_tokens(head[0], head[1], draft, names)
    return draft, problems + loads(draft)


def _kind_and_tokens(key: Scalar, value: Node, draft: Draft, names: Names) -> list[Problem]:
    """Read `fuse blade` + `7.5 A 32 V dc` (or one text that holds both) into the draft."""
    kind, rest, offset = split_kind(key.text)
    if not kind:
        word = key.text.split()[0] if key.text.split() else ""
        return [Problem("unknown kind", key.mark, {"word": key.text, "meant": meant(word, KINDS)})]
    draft.put("kind", Scalar(kind, key.mark))
    grammar = equipment_grammar(KINDS[kind], names)
    problems: list[Problem] = []
    if rest:
        problems += read_tokens(key, offset, grammar, draft, kind)[0]
    if value is not key:
        if isinstance(value, Scalar):
            problems += read_tokens(value, 0, grammar, draft, kind)[0]
        else:
            problems.append(Problem("text expected", value.mark, {"where": kind}))
    return problems


def loads(draft: Draft) -> list[Problem]:
    """Expand the `loads:` of a draft: `kettle: 1 kW` becomes a mapping."""
    entry = draft.fields.get("loads")
    if entry is None or not isinstance(entry[1], Mapping):
        return []
    problems: list[Problem] = []
    expanded: list[tuple[Scalar, Node]] = []
    for name, value in entry[1].entries:
        if isinstance(value, Scalar):
            item = Draft(name)
            problems += read_tokens(value, 0, LoadItem.TOKENS, item, "load")[0]
            expanded.append((name, Mapping(item.node().entries, value.mark)))
        else:
            expanded.append((name, value))
    draft.put("loads", Mapping(tuple(expanded), entry[1].mark), entry[0])
    return problems


BUNDLE = (
    word_token("arrangement", ("bunched", "single layer", "spaced")),
    quantity_token("ambient", "temperature", "40 °C"),
)
SPACE = (
    quantity_token("ambient", "temperature", "60 °C"),
    Token(rf"lowest\s(?P<q>{NUMBER}\s?(?:°C|°F|degC|degF))", (("lowest", "{q}"),), "lowest -10 °C"),
    Token(rf"insulation\saround\s(?P<q>{NUMBER}\s?(?:mm|cm|m|in))", (("insulation around", "{q}"),), "insulation around 300 mm"),
    word_token("engine", ("petrol", "diesel")),
    word_token("vented", ("not vented", "vented")),
    word_token("wet", ("outside", "wet")),
)


def small(key: Scalar, value: Node, grammar: Sequence[Token], subject: str) -> tuple[Node, list[Problem]]:
    """Return the long form of a bundle or a space written as one text."""
    if not isinstance(value, Scalar):
        return value, []
    draft = Draft(key)
    problems, _ = read_tokens(value, 0, grammar, draft, subject)
    return Mapping(draft.node().entries, value.mark), problems


def revision(value: Node) -> Node:
    """Return the long form of a revision written as `date, by whom, what`."""
    if not isinstance(value, Scalar):
        return value
    fields: list[tuple[Scalar, Node]] = []
    offset = 0
    for name, part in zip(("date", "by", "what"), value.text.split(",", 2), strict=False):
        lead = len(part) - len(part.lstrip())
        mark = value.at(offset + lead)
        fields.append((Scalar(name, mark), Scalar(part.strip(), mark)))
        offset += len(part) + 1
    return Mapping(tuple(fields), value.mark)


def is_cable_text(text: str, names: Names) -> bool:
    """Tell a cable's text from a device's: it starts with a class of cable or with no kind of equipment."""
    return any(text == name or text.startswith(name + " ") for name in names.cable_classes) or not split_kind(text)[0]


def examples(grammar: Iterable[Token]) -> list[str]:
    """Return one example of each token, for the list of kinds."""
    return [token.example for token in grammar]
