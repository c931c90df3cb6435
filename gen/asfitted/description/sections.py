"""First pass over `defaults:` and `boards:`: what holds unless a line says otherwise, and the bars of the
boards.
"""

from dataclasses import replace

from asfitted.description import forms, grammars
from asfitted.description.draft import Draft, split_kind
from asfitted.description.expansion import Expansion
from asfitted.description.kinds import KINDS
from asfitted.description.problems import Problem, meant
from asfitted.description.tree import Mapping, Node, Scalar

BARS = {
    "line bar": "busbar",
    "line 1 bar": "busbar",
    "line 2 bar": "busbar",
    "neutral bar": "busbar",
    "earth bar": "earth bar",
    "plus bar": "busbar",
    "minus bar": "busbar",
}
#: kind of run -> the default that holds for its cables
CABLE_DEFAULTS = {
    "ac": "ac cable",
    "L": "ac cable",
    "N": "ac cable",
    "earth": "earth cable",
    "bond": "earth cable",
    "dc": "dc cable",
    "plus": "dc cable",
    "minus": "dc cable",
}


def defaults(x: Expansion, tree: Mapping) -> None:
    """Read `defaults:`: of kinds of equipment, of classes of cable, of the status."""
    for key, value in x.entries(tree, "defaults"):
        if key.text == "status" and isinstance(value, Scalar):
            x.status = value
        elif key.text.endswith("cable") and isinstance(value, Scalar):
            draft = Draft(key)
            grammar = grammars.cable(x.names)
            x.problems += forms.read_tokens(value, 0, grammar, draft, f"“{key.text}”")[0]
            x.cable_defaults[key.text] = draft
        elif split_kind(key.text)[0]:
            draft, problems = forms.equipment(key, Mapping(((key, value),), key.mark), x.names)
            x.problems += problems
            x.equipment_defaults.append(draft)
        elif key.text.endswith("cable") or key.text == "status":
            x.say("text expected", value.mark, where=f"“{key.text}”")
        else:
            known = ["status", *dict.fromkeys(CABLE_DEFAULTS.values()), *KINDS]
            advice = meant(key.text, known, 40)
            x.say("unknown field", key.mark, field=key.text, where="“defaults”", meant=advice)
    own = tuple(name for name in x.cable_defaults if name not in CABLE_DEFAULTS.values())
    x.names = replace(x.names, cable_classes=own)


def boards(x: Expansion, tree: Mapping) -> Mapping | None:
    """Read the boards; each bar named in one becomes equipment in it. Returns the long form.

    A bar that several boards share sits in the first of them by name: the order of the file means nothing.
    """
    rows: list[tuple[Scalar, Node]] = []
    node = tree.get("boards")
    section = node.entries if isinstance(node, Mapping) else ()
    already = set(x.equipment)
    for board, node in section:
        x.boards[board.text] = {}
        if not isinstance(node, Mapping):
            rows.append((board, node))
            continue
        fields: list[tuple[Scalar, Node]] = []
        for key, value in node.entries:
            if key.text in BARS and isinstance(value, Scalar):
                value = _bar(x, board, key, value)
                if value.text not in already:
                    _sits_in(x.equipment[value.text], board)
                x.boards[board.text][key.text] = value.text
            fields.append((key, value))
        rows.append((board, Mapping(tuple(fields), node.mark)))
    return Mapping(tuple(rows), section[0][0].mark) if section else None


def _bar(x: Expansion, board: Scalar, role: Scalar, value: Scalar) -> Scalar:
    """Read `dc_plus 100 A` as a bar; returns its id."""
    id_text = value.text.split()[0]
    id_ = Scalar(id_text, value.mark)
    kind = BARS[role.text]
    known = x.equipment.get(id_text)
    draft = known or Draft(id_)
    if known is None:
        draft.put("kind", Scalar(kind, role.mark))
    grammar = grammars.equipment(KINDS[kind], x.names)
    problems: list[Problem] = forms.read_tokens(value, len(id_text), grammar, draft, f"{kind} “{id_text}”")[0]
    x.take(id_text, problems)
    if known is None:
        x.add_equipment(draft)
    return id_


def _sits_in(bar: Draft, board: Scalar) -> None:
    if not bar.text("in") or board.text.casefold() < bar.text("in").casefold():
        bar.put("in", board)
