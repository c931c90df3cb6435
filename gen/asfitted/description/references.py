"""References of a description that its schema cannot check: names of boards, bundles, spaces, terminals,
loads.
"""

from collections.abc import Collection, Iterable, Iterator
from typing import Any

from asfitted.description import conditions
from asfitted.description.kinds import (
    AcSupply,
    Choosable,
    Equipment,
    Inline,
    Inverter,
    Load,
    SiteVariant,
    Sockets,
    field_names,
)
from asfitted.description.marks import Mark
from asfitted.description.problems import Problem, meant
from asfitted.description.schema import Description
from asfitted.description.schema_problems import place_words
from asfitted.description.tree import Mapping, Node, Scalar, Sequence, locate


def check_references(description: Description, tree: Mapping, lost: Collection[str] = ()) -> list[Problem]:
    """Return a problem for every name that names nothing.

    What exists is told from the tree, sound or not; `lost` are names of things that could not be read.
    """
    names = _Names(tree, tuple(lost))
    return [
        *_named_places(description, tree, names),
        *_poles(description, tree),
        *_loops(description, tree),
        *_terminals(description, tree, names),
        *_bonds(description, tree, names),
        *_states(description, tree, names),
        *_days(description, tree, names),
        *_decisions(description, tree, names),
        *_raised(description, tree),
        *_accepted(description, tree, names),
    ]


class _Names:
    """What is named in a tree."""

    def __init__(self, tree: Mapping, lost: tuple[str, ...]) -> None:
        self.equipment = _keys(tree.get("equipment"))
        self.cables = _keys(tree.get("cables"))
        self.boards = _keys(tree.get("boards"))
        self.bundles = _keys(tree.get("bundles"))
        self.spaces = _keys(tree.get("spaces"))
        self.lost = lost

    def all_read(self, d: Description) -> bool:
        """Return whether all equipment that is written could be read."""
        return not self.lost and len(d.equipment) >= len(self.equipment)


def _keys(node: Node | None) -> tuple[str, ...]:
    """Return the names in a section; also of one that is written as a row, which is reported elsewhere."""
    if isinstance(node, Mapping):
        return tuple(key.text for key, _ in node.entries)
    return (
        tuple(item.text for item in node.items if isinstance(item, Scalar))
        if isinstance(node, Sequence)
        else ()
    )


def _known(
    name: str | None, known: Collection[str], mark: Mark, code: str, field: str, lost: Collection[str] = ()
) -> Iterator[Problem]:
    if name is not None and name not in known and name not in lost:
        yield Problem(code, mark, {field: name, "meant": meant(name, known)})


def _poles(d: Description, tree: Mapping) -> Iterator[Problem]:
    """Poles are never assumed where there is a neutral that a device may or may not open."""
    for id_, spec in d.equipment.items():
        if not isinstance(spec, Inline) or spec.poles is not None or spec.KIND in ("fuse", "meter"):
            continue
        if isinstance(spec, Choosable) and "poles" in spec.left_open:
            continue
        if any(contact in ("L", "L1", "L2") for contact in spec.contacts):
            yield Problem(
                "poles missing",
                locate(tree, ("equipment", id_), of_key=True),
                {"id": id_, "kind": spec.KIND},
            )


def _loops(d: Description, tree: Mapping) -> Iterator[Problem]:
    """The loop of a TT supply passes through the electrode of its neutral and cannot be less than that."""
    for id_, spec in d.equipment.items():
        if isinstance(spec, AcSupply):
            yield from _loop(tree, ("equipment", id_), spec, spec, spec.earthing)
            for name, place in spec.at.items():
                yield from _loop(tree, ("equipment", id_, "at", name), place, spec, place.earthing)


def _loop(
    tree: Mapping, loc: tuple[str, ...], place: AcSupply | SiteVariant, usual: AcSupply, earthing: str | None
) -> Iterator[Problem]:
    """Compare the loop and the electrode at one place; what it does not give is as usual, if the system is."""
    system = earthing or usual.earthing
    kept = usual if usual.earthing == system else place
    loop = place.loop_impedance_max_ohm or kept.loop_impedance_max_ohm
    electrode = place.neutral_electrode_ohm or kept.neutral_electrode_ohm
    if system == "TT" and loop and electrode and loop < electrode:
        field = "loop impedance" if place.loop_impedance_max_ohm else "neutral electrode"
        said = {"where": place_words(loc), "loop": f"{loop:g}", "electrode": f"{electrode:g}"}
        yield Problem("loop below electrode", locate(tree, (*loc, field)), dict(said))


def _named_places(d: Description, tree: Mapping, names: _Names) -> Iterator[Problem]:
    told = {x.place for x in (*d.equipment.values(), *d.boards.values()) if x.place}
    for place in d.places if names.all_read(d) else ():  # what could not be read may be at that place
        mark = locate(tree, ("places", place), of_key=True)
        yield from _known(place, told, mark, "unknown place", "place")
    for id_, spec in d.equipment.items():
        yield from _known(
            spec.board,
            names.boards,
            locate(tree, ("equipment", id_, "in")),
            "unknown board",
            "board",
            names.lost,
        )
        yield from _known(
            spec.space,
            names.spaces,
            locate(tree, ("equipment", id_, "space")),
            "unknown space",
            "space",
            names.lost,
        )
    for id_, cable in d.cables.items():
        mark = locate(tree, ("cables", id_, "bundle"))
        yield from _known(cable.bundle, names.bundles, mark, "unknown bundle", "bundle", names.lost)
        yield from _known(
            cable.space,
            names.spaces,
            locate(tree, ("cables", id_, "space")),
            "unknown space",
            "space",
            names.lost,
        )


def terminal_names(id_: str, spec: Equipment) -> set[str]:
    """Return every terminal a piece of equipment may have; an in-line device takes any live conductor."""
    if spec.PORTS.get("") == ("*",):
        return {id_}
    live: tuple[str, ...] = ()
    if isinstance(spec, Inline):
        # A contact in a protective conductor is forbidden; it can be described, so that its effect can be shown.
        live = ("L", "L1", "L2", "N", "plus", "minus", *(("PE",) if "PE" in spec.contacts else ()))
    return {
        ".".join(part for part in (id_, port, conductor) if part)
        for port, conductors in spec.PORTS.items()
        for conductor in (live or conductors)
    }


def _terminals(d: Description, tree: Mapping, names: _Names) -> Iterator[Problem]:
    ends = [
        (end, locate(tree, ("cables", id_, "cores", conductor, index)))
        for id_, cable in d.cables.items()
        for conductor, pair in cable.cores.items()
        for index, end in enumerate(pair)
    ]
    ends += [
        (end, locate(tree, ("links", number, index)))
        for number, pair in enumerate(d.links)
        for index, end in enumerate(pair)
    ]
    for end, mark in ends:
        yield from _terminal(d, names, end, mark)


def _terminal(d: Description, names: _Names, end: str, mark: Mark) -> Iterator[Problem]:
    id_ = end.split(".")[0]
    yield from _known(id_, names.equipment, mark, "unknown id", "id", names.lost)
    if id_ in d.equipment:
        known = sorted(terminal_names(id_, d.equipment[id_]))
        if end not in known:
            yield Problem("unknown terminal", mark, {"terminal": end, "id": id_, "meant": meant(end, known)})


def _bonds(d: Description, tree: Mapping, names: _Names) -> Iterator[Problem]:
    """The end of a neutral bond is the source's own earth terminal or a terminal named."""
    for id_, spec in d.equipment.items():
        lands_on = getattr(getattr(spec, "neutral_bond", None), "lands_on", "own earth terminal")
        if lands_on != "own earth terminal":
            mark = locate(tree, ("equipment", id_, "neutral bond", "lands on"))
            if lands_on.split(".")[0] in names.equipment:
                yield from _terminal(d, names, lands_on, mark)
            else:
                known = ["own earth terminal", *names.equipment]
                yield from _known(lands_on, known, mark, "unknown name", "id", names.lost)


def _states(d: Description, tree: Mapping, names: _Names) -> Iterator[Problem]:
    of_states = {**conditions.CONDITIONS, **conditions.POSITIONS}
    of_contacts = {**conditions.CONDITIONS, **conditions.DIRECT_CONDITIONS}
    for name, text in d.states.items():
        yield from _conditions(d, names, text, _place(tree, "states", name), of_states)
    for id_, spec in d.equipment.items():
        for field in ("open when", "closed when"):
            when = getattr(spec, field.replace(" ", "_"), None)
            if when:
                yield from _conditions(d, names, when, _place(tree, "equipment", id_, field), of_contacts)


def _conditions(
    d: Description, names: _Names, text: str, place: Scalar, possible: dict[str, tuple[str, ...]]
) -> Iterator[Problem]:
    """Check the conditions written in a text such as `site live, inverter running`; `possible` has those of
    each kind.
    """
    known = [id_ for id_, spec in d.equipment.items() if spec.KIND in possible]
    for said in conditions.parse(text):
        mark = place.at(said.offset)
        if said.source in known:
            kind = d.equipment[said.source].KIND
            yield from _condition(said, kind, mark, possible[kind])
        elif said.source in d.equipment or said.source not in (*names.equipment, *names.lost):
            yield Problem("unknown source", mark, {"id": said.source, "meant": meant(said.source, known)})


def _condition(
    said: conditions.Condition, kind: str, mark: Mark, possible: tuple[str, ...]
) -> Iterator[Problem]:
    if said.condition not in possible:
        after = mark.right(len(said.source) + 1) if said.condition else mark
        fields: dict[str, object] = {"id": said.source, "kind": kind, "condition": said.condition or "…"}
        yield Problem("wrong condition", after, {**fields, "meant": meant(said.condition, possible)})


def _place(tree: Mapping, *loc: str) -> Scalar:
    """Return the text at a place of the tree, with the places of its characters."""
    node: Node | None = tree
    for part in loc:
        node = node.get(part) if isinstance(node, Mapping) else None
    return node if isinstance(node, Scalar) else Scalar("", locate(tree, loc))


def _days(d: Description, tree: Mapping, names: _Names) -> Iterator[Problem]:
    """What runs on a day is an appliance or equipment; not checked while some could not be read."""
    if not names.all_read(d):
        return
    appliances = [name for spec in d.equipment.values() for name in getattr(spec, "loads", {})]
    consumers = [id_ for id_, spec in d.equipment.items() if isinstance(spec, Load | Sockets | Inverter)]
    known = list(dict.fromkeys([*appliances, *consumers]))
    for day, spec in d.days.items():
        for name in spec.use:
            mark = locate(tree, ("days", day, "use", name), of_key=True)
            yield from _known(name, known, mark, "unknown load", "load")


def _decisions(d: Description, tree: Mapping, names: _Names) -> Iterator[Problem]:
    """What an option changes, removes or cuts must exist."""
    things = [*names.equipment, *names.cables]
    for number, decision in enumerate(d.decisions):
        for name, option in decision.options.items():
            loc = ("decisions", number, "options", name)
            for path in option.change:
                yield from _path(d, names, path, locate(tree, (*loc, "change", path), of_key=True))
            for index, id_ in enumerate(option.remove):
                mark = locate(tree, (*loc, "remove", index))
                yield from _known(id_, things, mark, "unknown name", "id", names.lost)
            into: Any = option.insert.get("into")
            if isinstance(into, str):
                mark = locate(tree, (*loc, "insert", "into"))
                yield from _known(into, names.cables, mark, "unknown name", "id", names.lost)


def _path(d: Description, names: _Names, path: str, mark: Mark) -> Iterator[Problem]:
    """A path begins with a thing of the build and goes on with one of its fields."""
    id_, _, rest = path.partition(".")
    things = [*names.equipment, *names.cables, "build"]
    yield from _known(id_, things, mark, "unknown path", "path", names.lost)
    if rest and id_ in d.equipment:
        fields = field_names(type(d.equipment[id_]))
        field = rest.split(".")[0]
        if field not in (*fields, "kind"):
            yield Problem(
                "unknown path", mark.right(len(id_) + 1), {"path": field, "meant": meant(field, fields, 40)}
            )


def _raised(d: Description, tree: Mapping) -> Iterator[Problem]:
    """What is numbered is told from the tree: an error elsewhere must not make a revision unknown."""
    written = tree.get("decisions")
    decisions = range(1, len(written.items if isinstance(written, Sequence) else ()) + 1)
    keys = _keys(tree.get("revisions"))
    revisions = [int(key) for key in keys if key.isdigit()]
    whole = bool(keys) and len(revisions) == len(keys)
    for number, raised in enumerate(d.raised):
        for field, value, known in (
            ("decision", raised.decision, decisions),
            ("revision", raised.revision, revisions),
        ):
            if field == "revision" and not whole:
                continue  # what is wrong with the revisions is said where they stand
            if value is not None and value not in known:
                mark = locate(tree, ("raised", number, field))
                yield Problem(
                    "unknown number", mark, {"what": field, "number": value, "known": _numbers(known)}
                )


def _numbers(known: Iterable[int]) -> str:
    return ", ".join(str(number) for number in known) or "–"


def _accepted(d: Description, tree: Mapping, names: _Names) -> Iterator[Problem]:
    ids = [*names.equipment, *names.cables, *names.boards, "build"]
    for number, accepted in enumerate(d.accepted):
        mark = locate(tree, ("accepted", number, "where"))
        yield from _known(accepted.where, ids, mark, "unknown name", "id", names.lost)
