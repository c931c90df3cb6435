"""Short forms to the long form: runs and circuits become cables with every end spelled out.

Both forms are one language: what comes out is accepted as input and expands to itself.
Two passes: first every piece of equipment is collected, then every core is landed on its terminals.
"""

from dataclasses import dataclass, field, replace

from asfitted.description import forms, tokens
from asfitted.description.forms import Draft, Names
from asfitted.description.kinds import KINDS
from asfitted.description.landing import Landing, Thing, give_contacts
from asfitted.description.marks import Mark
from asfitted.description.problems import Problem, meant
from asfitted.description.reader import Mapping, Node, Scalar, Sequence
from asfitted.description.schema import CABLE_KINDS

BARS = {
    "line bar": "busbar",
    "neutral bar": "busbar",
    "earth bar": "earth bar",
    "plus bar": "busbar",
    "minus bar": "busbar",
}
CONDUCTORS = {
    "ac": ("L", "N", "PE"),
    "dc": ("plus", "minus"),
    "plus": ("plus",),
    "minus": ("minus",),
    "earth": ("PE",),
    "bond": ("bond",),
    "L": ("L",),
    "N": ("N",),
}
CABLE_DEFAULTS = {"ac": "ac cable", "L": "ac cable", "N": "ac cable", "earth": "earth cable", "bond": "earth cable"}
SHORT_ONLY = ("defaults", "sources", "runs", "circuits")


@dataclass(frozen=True)
class _Step:
    """One stretch of a run: from a thing to the next, by a cable or bolted."""

    kind: str
    a: Thing
    b: Thing
    cable: Draft | None


@dataclass
class _Expansion:
    """What is known while expanding."""

    problems: list[Problem] = field(default_factory=list)
    names: Names = Names()
    boards: dict[str, dict[str, str]] = field(default_factory=dict)
    equipment: dict[str, Draft] = field(default_factory=dict)
    cables: dict[str, Draft] = field(default_factory=dict)
    links: list[tuple[Scalar, Scalar]] = field(default_factory=list)
    steps: list[_Step] = field(default_factory=list)
    equipment_defaults: list[Draft] = field(default_factory=list)
    cable_defaults: dict[str, Draft] = field(default_factory=dict)
    status: Scalar | None = None
    fed: list[tuple[str, str, Mark]] = field(default_factory=list)


def expand(tree: Mapping) -> tuple[Mapping, list[Problem]]:
    """Return the long form of a description's tree, and the problems of its short forms."""
    x = _Expansion()
    x.names = Names(
        boards=_names(tree.get("boards")), bundles=_names(tree.get("bundles")), spaces=_names(tree.get("spaces"))
    )
    _defaults(x, tree.get("defaults"))
    for section in ("sources", "equipment"):
        for key, node in _entries(x, tree, section):
            draft, problems = forms.equipment(key, node, x.names)
            x.problems += problems
            _add_equipment(x, draft)
    boards = _boards(x, tree)
    for key, node in _entries(x, tree, "cables"):
        if isinstance(node, Mapping):
            draft = Draft(key, {k.text: (k, v) for k, v in node.entries})
            _add_cable(x, draft)
        else:
            x.problems.append(Problem("mapping expected", node.mark, {"where": key.text, "found": "text"}))
    for board, rows in _entries(x, tree, "circuits"):
        _circuits(x, board, rows)
    for node in _items(x, tree, "runs"):
        _run(x, node)
    _land(x)
    return _long_form(tree, x, boards), x.problems


def _names(node: Node | None) -> tuple[str, ...]:
    return tuple(key.text for key, _ in node.entries) if isinstance(node, Mapping) else ()


def _entries(x: _Expansion, tree: Mapping, section: str) -> tuple[tuple[Scalar, Node], ...]:
    node = tree.get(section)
    if node is None:
        return ()
    if not isinstance(node, Mapping):
        x.problems.append(Problem("mapping expected", node.mark, {"where": section, "found": "list or text"}))
        return ()
    return node.entries


def _items(x: _Expansion, tree: Mapping, section: str) -> tuple[Node, ...]:
    node = tree.get(section)
    if node is None:
        return ()
    if not isinstance(node, Sequence):
        x.problems.append(Problem("list expected", node.mark, {"where": section}))
        return ()
    return node.items


# ---------------------------------------------------------------------------------------------- first pass: collect


def _defaults(x: _Expansion, node: Node | None) -> None:
    """Read `defaults:`: of kinds of equipment, of classes of cable, of the status."""
    if not isinstance(node, Mapping):
        return
    for key, value in node.entries:
        if key.text.endswith("cable"):
            draft = Draft(key)
            if isinstance(value, Scalar):
                x.problems += forms.read_tokens(value, 0, forms.cable_grammar(x.names), draft, "cable")[0]
            x.cable_defaults[key.text] = draft
        elif key.text == "status" and isinstance(value, Scalar):
            x.status = value
        else:
            draft, problems = forms.equipment(key, Mapping(((key, value),), key.mark), x.names)
            x.problems += problems
            x.equipment_defaults.append(draft)
    x.names = replace(x.names, cable_classes=tuple(n for n in x.cable_defaults if n not in CABLE_DEFAULTS.values()))


def _add_equipment(x: _Expansion, draft: Draft) -> None:
    if not forms.IDENTIFIER.fullmatch(draft.id.text):
        x.problems.append(Problem("not an id", draft.id.mark, {"id": draft.id.text}))
    earlier = x.equipment.get(draft.id.text) or x.cables.get(draft.id.text)
    if earlier is not None:
        fields: dict[str, object] = {"id": draft.id.text, "first": str(earlier.id.mark)}
        x.problems.append(Problem("duplicate id", draft.id.mark, fields))
        return
    _fill_in(x, draft)
    x.equipment[draft.id.text] = draft


def _fill_in(x: _Expansion, draft: Draft) -> None:
    """Give the draft what the builder's own defaults say of its kind; before landing, which depends on its poles."""
    for default in x.equipment_defaults:
        if default.text("kind") != draft.text("kind"):
            continue
        given = {name: node for name, (_, node) in default.fields.items() if name != "kind"}
        # A default such as `fuse T` holds for fuses of type T only.
        if "type" in given and draft.text("type") not in ("", default.text("type")):
            continue
        for name, node in given.items():
            draft.put_default(name, node)
    if x.status is not None:
        draft.put_default("status", x.status)


def _add_cable(x: _Expansion, draft: Draft) -> None:
    earlier = x.cables.get(draft.id.text) or x.equipment.get(draft.id.text)
    if earlier is not None:
        fields: dict[str, object] = {"id": draft.id.text, "first": str(earlier.id.mark)}
        x.problems.append(Problem("duplicate id", draft.id.mark, fields))
        return
    if not forms.IDENTIFIER.fullmatch(draft.id.text):
        x.problems.append(Problem("not an id", draft.id.mark, {"id": draft.id.text}))
    x.cables[draft.id.text] = draft


def _boards(x: _Expansion, tree: Mapping) -> Mapping | None:
    """Read the boards; each bar named in one becomes equipment in it. Returns the section in its long form."""
    rows: list[tuple[Scalar, Node]] = []
    section = _entries(x, tree, "boards")
    for board, node in section:
        x.boards[board.text] = {}
        if not isinstance(node, Mapping):
            rows.append((board, node))
            continue
        fields: list[tuple[Scalar, Node]] = []
        for key, value in node.entries:
            if key.text in BARS and isinstance(value, Scalar):
                value = _bar(x, board, key, value)
                x.boards[board.text][key.text] = value.text
            fields.append((key, value))
        rows.append((board, Mapping(tuple(fields), node.mark)))
    return Mapping(tuple(rows), section[0][0].mark) if section else None


def _bar(x: _Expansion, board: Scalar, role: Scalar, value: Scalar) -> Scalar:
    """Read `dc_plus 100 A` as a bar; returns its id."""
    id_text = value.text.split()[0]
    id_ = Scalar(id_text, value.mark)
    if id_text in x.equipment:
        return id_
    draft = Draft(id_)
    kind = BARS[role.text]
    draft.put("kind", Scalar(kind, role.mark))
    x.problems += forms.read_tokens(value, len(id_text), KINDS[kind].TOKENS, draft, kind)[0]
    draft.put("in", board)
    _add_equipment(x, draft)
    return id_


def _circuits(x: _Expansion, board: Scalar, rows: Node) -> None:
    if board.text not in x.boards:
        advice = meant(board.text, x.boards)
        x.problems.append(Problem("unknown board", board.mark, {"board": board.text, "meant": advice}))
        return
    if not isinstance(rows, Mapping):
        x.problems.append(Problem("mapping expected", rows.mark, {"where": board.text, "found": "text or list"}))
        return
    bars = x.boards[board.text]
    kind = "dc" if "plus bar" in bars else "ac"
    for id_, row in rows.entries:
        if isinstance(row, Mapping):
            _circuit(x, board, kind, id_, row)
        else:
            x.problems.append(Problem("mapping expected", row.mark, {"where": id_.text, "found": "text or list"}))


CONSUMERS = ("sockets", "load", "feeds", "GFCI receptacle")


def _circuit(x: _Expansion, board: Scalar, kind: str, id_: Scalar, row: Mapping) -> None:
    """Read one row: protective device, cable, and what it feeds."""
    device_entries: list[tuple[Scalar, Node]] = []
    rest: list[tuple[Scalar, Node]] = []
    consumer: tuple[Scalar, Node] | None = None
    cable: Draft | None = None
    for key, value in row.entries:
        word = forms.split_kind(key.text)[0]
        if key.text in CONSUMERS:
            consumer = (key, value)
        elif word and not device_entries:
            device_entries.append((key, value))
        elif isinstance(value, Scalar) and key.text not in ("place", "status", "short", "class", "note", "in", "space"):
            cable = _cable_text(x, key, value)
        else:
            rest.append((key, value))
    if not device_entries:
        x.problems.append(Problem("circuit without device", id_.mark, {"id": id_.text}))
        return
    device, problems = forms.equipment(id_, Mapping(tuple(device_entries), row.mark), x.names)
    x.problems += problems
    device.put_default("in", board)
    _add_equipment(x, device)
    device_thing = Thing(id_.text, None, id_.mark)
    x.fed.append((id_.text, board.text, id_.mark))
    if consumer is None:
        if cable is not None or rest:
            x.problems.append(Problem("circuit feeds nothing", id_.mark, {"id": id_.text}))
        give_contacts(device, CONDUCTORS[kind], kind)
        return
    target = _consumer(x, consumer, Mapping(tuple(rest), row.mark))
    if cable is None:
        x.problems.append(Problem("circuit without cable", id_.mark, {"id": id_.text}))
    elif target is not None:
        x.steps.append(_Step(kind, device_thing, target, cable))


def _consumer(x: _Expansion, consumer: tuple[Scalar, Node], rest: Mapping) -> Thing | None:
    """Read `sockets: 4 × 16 A desk`, `load: lamps` or `feeds: charger`; what else stands in the row belongs to it."""
    key, value = consumer
    if not isinstance(value, Scalar):
        x.problems.append(Problem("text expected", value.mark, {"where": key.text}))
        return None
    if key.text == "feeds":
        for extra, _ in rest.entries:
            fields: dict[str, object] = {"field": extra.text, "where": "feeds", "meant": ""}
            x.problems.append(Problem("unknown field", extra.mark, fields))
        return _thing(x, value)
    draft = Draft(value)
    draft.put("kind", Scalar(key.text, key.mark))
    grammar = forms.equipment_grammar(KINDS[key.text], x.names)
    problems, found = forms.read_tokens(value, 0, grammar, draft, key.text, identifiers=True)
    x.problems += problems
    if len(found) != 1:
        words = ", ".join(f"“{scalar.text}”" for scalar in found) or "–"
        x.problems.append(Problem("consumer without id", value.mark, {"kind": key.text, "found": words}))
        return None
    draft.id = found[0]
    for extra, node in rest.entries:
        draft.put(extra.text, node, extra)
    x.problems += forms.loads(draft)
    _add_equipment(x, draft)
    return Thing(draft.id.text, None, draft.id.mark)


def _cable_text(x: _Expansion, id_: Scalar, value: Scalar) -> Draft:
    draft = Draft(id_)
    x.problems += forms.read_tokens(value, 0, forms.cable_grammar(x.names), draft, "cable")[0]
    return draft


def _run(x: _Expansion, node: Node) -> None:
    """Read one run: things and cables in turn; the order of writing is the direction."""
    if not isinstance(node, Mapping) or len(node.entries) != 1:
        x.problems.append(Problem("run form", node.mark))
        return
    kind, items = node.entries[0]
    if kind.text not in CABLE_KINDS:
        advice = meant(kind.text, CABLE_KINDS)
        x.problems.append(Problem("unknown run", kind.mark, {"kind": kind.text, "meant": advice}))
        return
    if not isinstance(items, Sequence) or len(items.items) < 2:
        x.problems.append(Problem("run form", items.mark))
        return
    parts = [part for item in items.items if (part := _part(x, item)) is not None]
    previous: Thing | None = None
    cable: Draft | None = None
    for part in parts:
        if isinstance(part, Draft):
            if previous is None or cable is not None:
                x.problems.append(Problem("cable between nothing", part.id.mark, {"cable": part.id.text}))
            cable = part
            continue
        if previous is not None:
            x.steps.append(_Step(kind.text, previous, part, cable))
        previous, cable = part, None
    if cable is not None:
        x.problems.append(Problem("cable ends nowhere", cable.id.mark, {"cable": cable.id.text}))


def _part(x: _Expansion, item: Node) -> Thing | Draft | None:
    """Read one item of a run: a reference, a device written in place, or a cable."""
    if isinstance(item, Scalar):
        return _thing(x, item)
    if not isinstance(item, Mapping) or len(item.entries) != 1:
        x.problems.append(Problem("run item", item.mark))
        return None
    id_, value = item.entries[0]
    if isinstance(value, Scalar) and forms.is_cable_text(value.text, x.names):
        if value.text and value.text[0].isalpha() and not _looks_like_cable(x, value.text):
            first = value.text.split()[0]
            x.problems.append(
                Problem("unknown kind", value.mark, {"word": first, "meant": meant(first, [*KINDS, "7 m 2.5 mm²"])})
            )
            return None
        return _cable_text(x, id_, value)
    draft, problems = forms.equipment(id_, value, x.names)
    x.problems += problems
    _add_equipment(x, draft)
    return Thing(id_.text, None, id_.mark)


def _looks_like_cable(x: _Expansion, text: str) -> bool:
    first = next(iter(tokens.read(text, forms.cable_grammar(x.names))), None)
    return isinstance(first, tokens.Read)


def _thing(x: _Expansion, reference: Scalar) -> Thing | None:
    """Read `id`, `id.port` or the name of a board; whether it exists is checked when cores are landed."""
    text = reference.text
    if text in x.boards:
        return Thing(text, None, reference.mark, board=True)
    id_, _, port = text.partition(".")
    return Thing(id_.strip(), port.strip() or None, reference.mark)


# ---------------------------------------------------------------------------------------------- second pass: land


def _conductors(kind: str, cable: Draft | None) -> tuple[str, ...]:
    """Return the conductors of a stretch: those that the cable names, else those of the kind of run."""
    named = cable.text("conductors") if cable is not None else ""
    return tuple(named.split()) if named else CONDUCTORS[kind]


def _land(x: _Expansion) -> None:
    """Land every core of every stretch on its terminals, and bolt the circuits' devices to their board's bars."""
    for step in x.steps:
        conductors = _conductors(step.kind, step.cable)
        for thing in (step.a, step.b):
            draft = x.equipment.get(thing.id)
            if draft is not None:
                give_contacts(draft, conductors, step.kind)
    landing = Landing(x.equipment, x.boards)
    landed_in: set[str] = set()
    for step in x.steps:
        _land_step(x, landing, step)
        landed_in.add(step.b.id)
        if step.a.port == "in":
            landed_in.add(step.a.id)
    for device, board, mark in x.fed:
        if device not in landed_in and device in x.equipment:
            _feed_from_bars(x, landing, device, board, mark)
    x.problems += landing.problems


def _land_step(x: _Expansion, landing: Landing, step: _Step) -> None:
    ends: dict[str, tuple[str, str]] = {}
    same_board = landing.board_of(step.a) is not None and landing.board_of(step.a) == landing.board_of(step.b)
    if not (landing.known(step.a) and landing.known(step.b)):
        return
    if step.a.id == step.b.id and step.a.port == step.b.port:
        x.problems.append(Problem("cable to itself", step.b.mark, {"id": step.a.id}))
        return
    for conductor in _conductors(step.kind, step.cable):
        if conductor == "PE" and same_board and step.kind == "ac":
            continue
        if conductor == "bond" and step.cable is None:
            x.problems.append(Problem("bond without conductor", step.b.mark))
            return
        label = step.cable.id.text if step.cable is not None else f"{step.a.id}–{step.b.id}"
        a, b = landing.ends(step.a, step.b, conductor, label)
        if a and b and a != b:
            ends[conductor] = (a, b)
    if step.cable is None:
        for a, b in ends.values():
            x.links.append((Scalar(a, step.a.mark), Scalar(b, step.b.mark)))
        return
    if ends:
        _finish_cable(x, step, ends)
        _add_cable(x, step.cable)


def _finish_cable(x: _Expansion, step: _Step, ends: dict[str, tuple[str, str]]) -> None:
    cable = step.cable
    assert cable is not None  # noqa: S101  (the caller has made sure)
    mark = cable.id.mark
    cable.put("kind", Scalar(step.kind, mark))
    cores = tuple(
        (Scalar(name, mark), Sequence((Scalar(a, step.a.mark), Scalar(b, step.b.mark)), mark))
        for name, (a, b) in ends.items()
    )
    cable.put("cores", Mapping(cores, mark))
    class_name = cable.text("cable class") or CABLE_DEFAULTS.get(step.kind, "dc cable")
    default = x.cable_defaults.get(class_name)
    if default is not None:
        for name, (_, node) in default.fields.items():
            cable.put_default(name, node)
    if x.status is not None:
        cable.put_default("status", x.status)
    count = cable.fields.get("count")
    if count is not None and isinstance(count[1], Scalar) and int(count[1].text) != len(ends):
        fields: dict[str, object] = {"cable": cable.id.text, "count": count[1].text, "cores": " ".join(ends)}
        x.problems.append(Problem("core count", count[1].mark, fields))
    for name in ("count", "conductors", "cable class"):
        cable.fields.pop(name, None)


def _feed_from_bars(x: _Expansion, landing: Landing, device: str, board: str, mark: Mark) -> None:
    """Bolt a circuit's device, which no run feeds, to the bars of its board."""
    draft = x.equipment[device]
    contacts = draft.fields.get("contacts", (None, None))[1]
    names = [item.text for item in contacts.items if isinstance(item, Scalar)] if isinstance(contacts, Sequence) else []
    bars = x.boards[board]
    roles = {"L": "line bar", "N": "neutral bar", "plus": "plus bar", "minus": "minus bar"}
    for conductor in names:
        role = roles.get(conductor, "line bar")
        if role not in bars:
            fields: dict[str, object] = {"device": device, "board": board, "bar": role}
            x.problems.append(Problem("fed by nothing", mark, fields))
            return
        x.links.append((Scalar(bars[role], mark), Scalar(f"{device}.in.{conductor}", mark)))


def _long_form(tree: Mapping, x: _Expansion, boards: Mapping | None) -> Mapping:
    """Put the description together again: what was short is now spelled out, all else stays as written."""
    top = tree.mark
    entries: list[tuple[Scalar, Node]] = [
        (key, node)
        for key, node in tree.entries
        if key.text not in (*SHORT_ONLY, "boards", "equipment", "cables", "links")
    ]
    entries = [(key, _small_forms(x, key, node)) for key, node in entries]
    if boards is not None:
        entries.append((Scalar("boards", boards.mark), boards))
    equipment = Mapping(tuple((d.id, d.node()) for d in x.equipment.values()), _section_mark(tree, "equipment", top))
    entries.append((Scalar("equipment", equipment.mark), equipment))
    if x.cables:
        cables = Mapping(tuple((d.id, d.node()) for d in x.cables.values()), _section_mark(tree, "cables", top))
        entries.append((Scalar("cables", cables.mark), cables))
    written = tree.get("links")
    links = list(written.items) if isinstance(written, Sequence) else []
    links += [Sequence((a, b), a.mark) for a, b in x.links]
    if links:
        entries.append((Scalar("links", links[0].mark), Sequence(tuple(links), links[0].mark)))
    return Mapping(tuple(entries), top)


def _small_forms(x: _Expansion, section: Scalar, node: Node) -> Node:
    """Expand the sections whose rows are one text each: bundles, spaces, revisions."""
    if not isinstance(node, Mapping) or section.text not in ("bundles", "spaces", "revisions"):
        return node
    rows: list[tuple[Scalar, Node]] = []
    for key, value in node.entries:
        if section.text == "revisions":
            rows.append((key, forms.revision(value)))
            continue
        grammar = forms.BUNDLE if section.text == "bundles" else forms.SPACE
        expanded, problems = forms.small(key, value, grammar, section.text.removesuffix("s"))
        x.problems += problems
        rows.append((key, expanded))
    return Mapping(tuple(rows), node.mark)


def _section_mark(tree: Mapping, section: str, otherwise: Mark) -> Mark:
    node = tree.get(section)
    return node.mark if node is not None else otherwise
