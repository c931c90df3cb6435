"""Short forms to the long form: runs and circuits become cables with every end spelled out.

Both forms are one language: what comes out is accepted as input and expands to itself.
Two passes: first every piece of equipment is collected, then every core is landed on its terminals.
"""

from collections.abc import Collection
from dataclasses import dataclass

from asfitted.description import cores, forms, grammars, rows, sections
from asfitted.description.draft import Draft, Names
from asfitted.description.expansion import Expansion
from asfitted.description.marks import Mark
from asfitted.description.problems import Problem
from asfitted.description.section_names import SHORT_ONLY, with_known_sections
from asfitted.description.tree import Mapping, Node, Scalar, Sequence


@dataclass(frozen=True)
class Expanded:
    """The long form and the problems of the short forms.

    `spoiled` names the things of which a part could not be read; `lost` names those that could not be read at
    all.
    """

    tree: Mapping
    problems: tuple[Problem, ...]
    spoiled: frozenset[str]
    lost: frozenset[str]


def expand(tree: Mapping, lost: Collection[str] = ()) -> Expanded:
    """Return the long form of a description's tree, and the problems of its short forms.

    `lost` are names that the reader had to drop, such as an entry without a value.
    """
    x = Expansion(lost=set(lost))
    tree, x.problems, unread = with_known_sections(tree)
    x.lose(*unread)
    boards_in, bundles, spaces = ((*_names(tree.get(s)), *x.lost) for s in ("boards", "bundles", "spaces"))
    x.names = Names(boards_in, bundles, spaces)
    x.board_marks = {key.text: key.mark for key, _ in x.entries(tree, "boards")}
    sections.defaults(x, tree)
    for section in ("sources", "equipment"):
        for key, node in x.entries(tree, section):
            x.add_equipment(x.read_equipment(key, node))
    boards = sections.boards(x, tree)
    for key, node in x.entries(tree, "cables"):
        if isinstance(node, Mapping):
            x.add_cable(Draft(key, {k.text: (k, v) for k, v in node.entries}))
        else:
            x.say("mapping expected", node.mark, where=f"“{key.text}”")
    rows.circuits(x, tree)
    rows.runs(x, tree)
    cores.land(x)
    return Expanded(_long_form(tree, x, boards), tuple(x.problems), frozenset(x.spoiled), frozenset(x.lost))


def _names(node: Node | None) -> tuple[str, ...]:
    """Return the names in a section; also of one that is written as a row, which is reported elsewhere."""
    if isinstance(node, Mapping):
        return tuple(key.text for key, _ in node.entries)
    return (
        tuple(item.text for item in node.items if isinstance(item, Scalar))
        if isinstance(node, Sequence)
        else ()
    )


def _long_form(tree: Mapping, x: Expansion, boards: Mapping | None) -> Mapping:
    """Put the description together again: what was short is now spelled out, all else stays as written."""
    rewritten = (*SHORT_ONLY, "boards", "equipment", "cables", "links")
    entries = [(key, _small_forms(x, key, node)) for key, node in tree.entries if key.text not in rewritten]

    def add(section: str, node: Node, mark: Mark) -> None:
        entries.append((Scalar(section, mark), node))

    if boards is not None:
        add("boards", boards, boards.mark)
    for section, drafts in (("equipment", x.equipment), ("cables", x.cables)):
        key = tree.key(section)
        mark = key.mark if key is not None else tree.mark
        if drafts:
            add(section, Mapping(tuple((d.id, d.node()) for d in drafts.values()), mark), mark)
    links = [*x.items(tree, "links"), *(Sequence((a, b), a.mark) for a, b in x.links)]
    if links:
        add("links", Sequence(tuple(links), links[0].mark), links[0].mark)
    return Mapping(tuple(entries), tree.mark)


def _small_forms(x: Expansion, section: Scalar, node: Node) -> Node:
    """Expand the sections whose rows are one text each: bundles, spaces, revisions."""
    if not isinstance(node, Mapping) or section.text not in ("bundles", "spaces", "revisions"):
        return node
    expanded: list[tuple[Scalar, Node]] = []
    for key, value in node.entries:
        if section.text == "revisions":
            issue, problems = forms.revision(value)
            x.take(key.text, problems)
            expanded.append((key, issue))
            continue
        grammar = grammars.BUNDLE if section.text == "bundles" else grammars.SPACE
        one = section.text.removesuffix("s")
        row, problems = forms.small(key, value, grammar, f"{one} “{key.text}”")
        x.take(key.text, problems)
        expanded.append((key, row))
    return Mapping(tuple(expanded), node.mark)
