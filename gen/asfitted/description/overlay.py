"""An option of a decision laid over a description: change a value, add, remove, insert a device into a cable.

The overlay works on the long form, in which every end is spelled out; what it adds may be written in the short forms.
The user's file is never rewritten: the result is a tree of its own, whose nodes still know their places in the file.
"""

from asfitted.description import forms
from asfitted.description.draft import Names
from asfitted.description.problems import Problem
from asfitted.description.tree import Mapping, Node, Scalar, Sequence

SECTIONS = ("equipment", "cables")


def overlay(tree: Mapping, option: Mapping) -> tuple[Mapping, list[Problem]]:
    """Return the long-form `tree` with an option laid over it, and the problems of the option's own forms.

    The verbs are applied in this order: add, change, insert, remove.
    """
    problems: list[Problem] = []
    for verb, apply in (("add", _add), ("change", _change), ("insert", _insert), ("remove", _remove)):
        node = option.get(verb)
        if node is not None:
            tree, found = apply(tree, node)
            problems += found
    return tree, problems


def _with(mapping: Mapping, key: Scalar, value: Node) -> Mapping:
    """Return the mapping with one entry set, in its place if the key is there already."""
    entries = tuple((k, value if k.text == key.text else v) for k, v in mapping.entries)
    known = mapping.key(key.text) is not None
    return Mapping(entries if known else (*entries, (key, value)), mapping.mark)


def _without(mapping: Mapping, names: frozenset[str]) -> Mapping:
    return Mapping(tuple(e for e in mapping.entries if e[0].text not in names), mapping.mark)


def _add(tree: Mapping, added: Node) -> tuple[Mapping, list[Problem]]:
    """Append sections: mappings gain entries, lists gain items."""
    if not isinstance(added, Mapping):
        return tree, [Problem("mapping expected", added.mark, {"where": "add", "found": "text or list"})]
    for key, node in added.entries:
        there = tree.get(key.text)
        if isinstance(there, Mapping) and isinstance(node, Mapping):
            node = Mapping((*there.entries, *node.entries), there.mark)
        elif isinstance(there, Sequence) and isinstance(node, Sequence):
            node = Sequence((*there.items, *node.items), there.mark)
        tree = _with(tree, key, node)
    return tree, []


def _change(tree: Mapping, changes: Node) -> tuple[Mapping, list[Problem]]:
    """Set fields named by their path: `inverter.neutral bond.kind`."""
    if not isinstance(changes, Mapping):
        return tree, [Problem("mapping expected", changes.mark, {"where": "change", "found": "text or list"})]
    for path, value in changes.entries:
        first, *rest = path.text.split(".")
        section = next((s for s in SECTIONS if isinstance(n := tree.get(s), Mapping) and n.key(first)), first)
        keys = [section, first, *rest] if section != first else [first, *rest]
        tree = _set(tree, keys, path, value)
    return tree, []


def _set(node: Mapping, keys: list[str], path: Scalar, value: Node) -> Mapping:
    key = node.key(keys[0]) or Scalar(keys[0], path.mark)
    if len(keys) == 1:
        return _with(node, key, value)
    child = node.get(keys[0])
    return _with(
        node,
        key,
        _set(child if isinstance(child, Mapping) else Mapping((), path.mark), keys[1:], path, value),
    )


def _insert(tree: Mapping, inserted: Node) -> tuple[Mapping, list[Problem]]:
    """Cut a cable at its far end and put a device between, with a contact in each of its cores."""
    into = inserted.get("into") if isinstance(inserted, Mapping) else None
    if not isinstance(inserted, Mapping) or not isinstance(into, Scalar):
        return tree, [Problem("insert form", inserted.mark)]
    cables = tree.get("cables")
    cable = cables.get(into.text) if isinstance(cables, Mapping) else None
    cores = cable.get("cores") if isinstance(cable, Mapping) else None
    if not (isinstance(cables, Mapping) and isinstance(cable, Mapping) and isinstance(cores, Mapping)):
        return tree, [Problem("unknown name", into.mark, {"id": into.text, "meant": ""})]
    problems: list[Problem] = []
    for id_, node in inserted.entries:
        if id_.text == "into":
            continue
        draft, found = forms.equipment(id_, node, Names())
        problems += found
        names = tuple(name for name, _ in cores.entries)
        draft.put("contacts", Sequence(tuple(Scalar(n.text, id_.mark) for n in names), id_.mark))
        ends = {n.text: pair for n, pair in cores.entries if isinstance(pair, Sequence)}
        cut = tuple(
            (n, Sequence((ends[n.text].items[0], Scalar(f"{id_.text}.in.{n.text}", id_.mark)), id_.mark))
            for n in names
        )
        bolted = tuple(
            Sequence((Scalar(f"{id_.text}.out.{n.text}", id_.mark), ends[n.text].items[1]), id_.mark)
            for n in names
        )
        tree, _ = _add(
            tree,
            Mapping(
                (
                    (Scalar("equipment", id_.mark), Mapping(((id_, draft.node()),), id_.mark)),
                    (Scalar("links", id_.mark), Sequence(bolted, id_.mark)),
                ),
                id_.mark,
            ),
        )
        cores = Mapping(cut, cores.mark)
        tree = _set(tree, ["cables", into.text, "cores"], into, cores)
    return tree, problems


def _remove(tree: Mapping, removed: Node) -> tuple[Mapping, list[Problem]]:
    """Take equipment and cables away, with the bolted links that ended at them."""
    if not isinstance(removed, Sequence):
        return tree, [Problem("list expected", removed.mark, {"where": "remove", "found": "text"})]
    names = frozenset(item.text for item in removed.items if isinstance(item, Scalar))
    for section in SECTIONS:
        node = tree.get(section)
        if isinstance(node, Mapping):
            tree = _with(tree, Scalar(section, node.mark), _without(node, names))
    links = tree.get("links")
    if isinstance(links, Sequence):
        kept = tuple(pair for pair in links.items if not _touches(pair, names))
        tree = _with(tree, Scalar("links", links.mark), Sequence(kept, links.mark))
    return tree, []


def _touches(pair: Node, names: frozenset[str]) -> bool:
    ends = pair.items if isinstance(pair, Sequence) else ()
    return any(isinstance(end, Scalar) and end.text.split(".")[0] in names for end in ends)
