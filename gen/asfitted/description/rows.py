"""First pass over `circuits:` and `runs:`: rows become devices, cables, and steps from thing to thing."""

from collections.abc import Iterator
from dataclasses import dataclass, field

from asfitted import words
from asfitted.description import forms, grammars
from asfitted.description.draft import IDENTIFIER, Draft, split_kind
from asfitted.description.expansion import Expansion, Step
from asfitted.description.kind_names import kinds_meant
from asfitted.description.kinds import KINDS, Load, Sockets, field_names
from asfitted.description.landing import CONDUCTORS, Thing, give_contacts
from asfitted.description.problems import meant, nearest
from asfitted.description.schema import CABLE_KINDS
from asfitted.description.slips import colon_missing, colon_without_space
from asfitted.description.tree import Mapping, Node, Scalar, Sequence

CONSUMERS = ("sockets", "load", "feeds", "GFCI receptacle")
_ROW_FIELDS = tuple(name for kind in (Sockets, Load) for name in field_names(kind))


def circuits(x: Expansion, tree: Mapping) -> None:
    """Read `circuits:`: under each board, one row for each protective device."""
    for board, rows in x.entries(tree, "circuits"):
        if board.text not in x.boards:
            x.lose(rows)
            if board.text not in (*x.names.boards, *x.lost):
                x.say("unknown board", board.mark, board=board.text, meant=meant(board.text, x.names.boards))
        elif not isinstance(rows, Mapping):
            x.say("mapping expected", rows.mark, where=f"“{board.text}”")
        else:
            for id_, row in rows.entries:
                if isinstance(row, Mapping):
                    _circuit(x, board, id_, row)
                else:
                    x.say("mapping expected", row.mark, where=f"“{id_.text}”")


@dataclass
class _Row:
    """The parts of a circuit's row."""

    device: tuple[Scalar, Node] | None = None
    cable: tuple[Scalar, Scalar] | None = None
    consumer: tuple[Scalar, Node] | None = None
    status: tuple[Scalar, Node] | None = None
    rest: list[tuple[Scalar, Node]] = field(default_factory=list)
    unread: bool = False


def _circuit(x: Expansion, board: Scalar, id_: Scalar, row: Mapping) -> None:
    """Read one row: protective device, cable, and what it feeds."""
    parts = _parts(x, id_, row)
    if parts.device is None or parts.consumer is None or parts.unread:
        x.lose(id_, row)
    if parts.device is None:
        if not parts.unread:
            x.say("circuit without device", id_.mark, id=id_.text)
        return
    kind = "dc" if {"plus bar", "minus bar"} & set(x.boards[board.text]) else "ac"
    device = x.read_equipment(id_, Mapping((parts.device,), row.mark))
    device.put_default("in", board)
    _put_status(device, parts)
    x.add_equipment(device)
    x.fed.append((id_.text, board.text, id_.mark))
    cable = x.read_cable(*parts.cable) if parts.cable is not None else None
    if cable is not None:
        _put_status(cable, parts)
    if parts.consumer is None:
        if (cable is not None or parts.rest) and not parts.unread:
            x.say("circuit feeds nothing", id_.mark, id=id_.text)
        give_contacts(device, CONDUCTORS[kind], kind)
        return
    target = _consumer(x, parts)
    if cable is None:
        if not parts.unread:
            x.say("circuit without cable", id_.mark, id=id_.text)
    elif target is not None:
        x.steps.append(Step(kind, Thing(id_.text, None, id_.mark), target, cable))


def _put_status(draft: Draft, parts: _Row) -> None:
    """The status of a row is that of its device, its cable and what it feeds, unless their own texts say
    otherwise.
    """
    if parts.status is not None and "status" not in draft.fields:
        draft.put("status", parts.status[1], parts.status[0])


def _parts(x: Expansion, id_: Scalar, row: Mapping) -> _Row:
    """Tell the entries of a row apart by their names."""
    parts = _Row()
    for key, value in row.entries:
        if key.text in CONSUMERS:
            if parts.consumer is not None:
                x.say("circuit with two devices", key.mark, id=id_.text, word=key.text)
            parts.consumer = parts.consumer or (key, value)
        elif split_kind(key.text)[0]:
            if parts.device is not None:
                x.say("circuit with two devices", key.mark, id=id_.text, word=key.text)
            parts.device = parts.device or (key, value)
        elif key.text == "status":
            parts.status = (key, value)
        elif key.text in _ROW_FIELDS or not isinstance(value, Scalar):
            parts.rest.append((key, value))
        elif _misspelt(x, parts, key, value):
            parts.unread = True
        else:
            if parts.cable is not None:
                x.say("circuit with two cables", key.mark, id=id_.text, cable=key.text)
            parts.cable = parts.cable or (key, value)
    return parts


def _misspelt(x: Expansion, parts: _Row, key: Scalar, value: Scalar) -> bool:
    """Report an entry that is no cable but a kind, a consumer or a field written wrongly."""
    if IDENTIFIER.fullmatch(key.text) and forms.has_cable_words(value.text, x.names):
        return False
    if parts.device is None and (kinds_meant(key.text.split()[0]) or not IDENTIFIER.fullmatch(key.text)):
        x.problems.append(forms.unknown_kind(key))
        return True
    known = [*CONSUMERS, "status", *_ROW_FIELDS]
    if nearest(key.text, known):
        x.say("unknown field", key.mark, field=key.text, where="a circuit", meant=meant(key.text, known))
        return True
    return False


def _consumer(x: Expansion, parts: _Row) -> Thing | None:
    """Read `sockets: 4 × 16 A desk`, `load: lamps` or `feeds: charger`; what else stands in the row belongs
    to it.
    """
    assert parts.consumer is not None  # noqa: S101  (the caller has made sure)
    key, value = parts.consumer
    if not isinstance(value, Scalar):
        x.lose(value)
        x.say("text expected", value.mark, where=f"“{key.text}”")
        return None
    if key.text == "feeds":
        advice = words.text("problems", "meant.feeds")
        for extra, _ in parts.rest:
            x.say("unknown field", extra.mark, field=extra.text, where="“feeds”", meant=advice)
        return thing(x, value)
    draft = Draft(value)
    draft.put("kind", Scalar(key.text, key.mark))
    grammar = grammars.equipment(KINDS[key.text], x.names)
    problems, found = forms.read_tokens(value, 0, grammar, draft, key.text, identifiers=True)
    if len(found) != 1:
        x.lose(value)
        x.problems += problems
        names = ", ".join(f"“{scalar.text}”" for scalar in found) or "–"
        x.say("consumer without id", (found[1] if found else value).mark, kind=key.text, found=names)
        return None
    draft.id = found[0]
    x.take(draft.id.text, problems)
    for extra, node in parts.rest:
        draft.put(extra.text, node, extra)
    _put_status(draft, parts)
    x.take(draft.id.text, forms.loads(draft))
    x.add_equipment(draft)
    return Thing(draft.id.text, None, draft.id.mark)


class _Unreadable:
    """A place of a run of which nothing more can be said."""


def runs(x: Expansion, tree: Mapping) -> None:
    """Read `runs:`."""
    for node in x.items(tree, "runs"):
        _run(x, node)


def _run(x: Expansion, node: Node) -> None:
    """Read one run: things and cables in turn; the order of writing is the direction."""
    if not isinstance(node, Mapping) or len(node.entries) != 1:
        x.lose(node)
        x.say("run form", node.mark)
        return
    kind, items = node.entries[0]
    if kind.text not in CABLE_KINDS:
        x.lose(items)
        near = words.catalogue("problems")["other runs"].get(kind.text.lower(), kind.text)
        x.say("unknown run", kind.mark, kind=kind.text, meant=meant(near, CABLE_KINDS))
    if not isinstance(items, Sequence) or len(items.items) < 2:
        x.lose(items)
        x.say("run form", items.mark)
        return
    previous: Thing | _Unreadable | None = None
    cable: Draft | None = None
    for item in (part for each in items.items for part in _divided(x, each)):
        part = _part(x, item)
        if isinstance(part, Draft):
            x.lost |= {part.id.text} if isinstance(previous, _Unreadable) or cable is not None else set()
            if cable is not None:
                x.say("two cables", part.id.mark, cable=part.id.text, earlier=cable.id.text)
            elif previous is None:
                x.say("cable between nothing", part.id.mark, cable=part.id.text)
            cable = part
            continue
        if isinstance(previous, Thing) and isinstance(part, Thing) and kind.text in CABLE_KINDS:
            x.steps.append(Step(kind.text, previous, part, cable))
        elif cable is not None:
            x.lost.add(cable.id.text)
        previous, cable = part, None
    if cable is not None:
        x.say("cable ends nowhere", cable.id.mark, cable=cable.id.text)


def _divided(x: Expansion, item: Node) -> Iterator[Node]:
    """Yield an item of a run; two where a comma is missing between a thing and a cable: `[rod W8: 2 m, body]`."""
    if isinstance(item, Mapping) and len(item.entries) == 1:
        key, value = item.entries[0]
        before, _, name = key.text.rpartition(" ")
        if before and IDENTIFIER.fullmatch(name):
            place = len(before) + 1
            x.say("comma missing", key.at(len(before)), right=f"{before}, {name}: …")
            yield Scalar(before, key.mark)
            item = Mapping(((Scalar(name, key.at(place)), value),), item.mark)
    yield item


def _part(x: Expansion, item: Node) -> Thing | Draft | _Unreadable:
    """Read one item of a run: a reference, a device written in place, or a cable."""
    if isinstance(item, Scalar):
        split = colon_without_space(item) or colon_missing(item)
        if split is None or item.text in x.names.boards:
            return thing(x, item)
        x.problems.append(split[2])
        item = Mapping((split[:2],), item.mark)
    if not isinstance(item, Mapping) or len(item.entries) != 1:
        x.lose(item)
        x.say("run item", item.mark)
        return _Unreadable()
    id_, value = item.entries[0]
    if isinstance(value, Scalar) and not value.text:
        x.lose(item)
        x.say("empty value", id_.mark, key=id_.text)
        return _Unreadable()
    if isinstance(value, Scalar):
        if forms.is_cable(value.text, x.names):
            return x.read_cable(id_, value)
        if not split_kind(value.text)[0]:
            x.lose(item)
            x.problems.append(forms.unknown_kind(value))
            return _Unreadable()
    x.add_equipment(x.read_equipment(id_, value))
    return Thing(id_.text, None, id_.mark)


def thing(x: Expansion, reference: Scalar) -> Thing:
    """Read `id`, `id.port` or the name of a board; whether it exists is checked when cores are landed."""
    text = reference.text
    if text in x.boards:
        return Thing(text, None, reference.mark, board=True)
    id_, _, port = text.partition(".")
    return Thing(id_.strip(), port.strip() or None, reference.mark)
