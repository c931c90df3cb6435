"""References of a description that its schema cannot check: boards, bundles, spaces, terminals, states' words."""

from collections.abc import Iterable, Iterator

from asfitted.description.kinds import Equipment, Inline
from asfitted.description.marks import Mark
from asfitted.description.problems import Problem, meant
from asfitted.description.reader import Mapping, locate
from asfitted.description.schema import Description


def check_references(description: Description, tree: Mapping) -> list[Problem]:
    """Return a problem for every name that names nothing."""
    return [
        *_named_places(description, tree),
        *_poles(description, tree),
        *_terminals(description, tree),
        *_accepted(description, tree),
    ]


def _poles(d: Description, tree: Mapping) -> Iterator[Problem]:
    """Poles are never assumed where there is a neutral that a device may or may not open."""
    for id_, spec in d.equipment.items():
        if isinstance(spec, Inline) and spec.poles is None and spec.KIND not in ("fuse", "meter"):
            if any(contact in ("L", "L1", "L2") for contact in spec.contacts):
                yield Problem("poles missing", locate(tree, ("equipment", id_), of_key=True), {"id": id_, "kind": spec.KIND})


def _named_places(d: Description, tree: Mapping) -> Iterator[Problem]:
    for id_, spec in d.equipment.items():
        yield from _known(spec.board, d.boards, locate(tree, ("equipment", id_, "in")), "unknown board", "board")
        yield from _known(spec.space, d.spaces, locate(tree, ("equipment", id_, "space")), "unknown space", "space")
    for id_, cable in d.cables.items():
        yield from _known(cable.bundle, d.bundles, locate(tree, ("cables", id_, "bundle")), "unknown bundle", "bundle")
        yield from _known(cable.space, d.spaces, locate(tree, ("cables", id_, "space")), "unknown space", "space")
    for id_, board in d.boards.items():
        for alias, bar in (
            ("line bar", board.line_bar),
            ("neutral bar", board.neutral_bar),
            ("earth bar", board.earth_bar),
            ("plus bar", board.plus_bar),
            ("minus bar", board.minus_bar),
        ):
            yield from _known(bar, d.equipment, locate(tree, ("boards", id_, alias)), "unknown id", "id")


def _known(name: str | None, known: Iterable[str], mark: Mark, code: str, field: str) -> Iterator[Problem]:
    if name is not None and name not in known:
        yield Problem(code, mark, {field: name, "meant": meant(name, known)})


def terminal_names(id_: str, spec: Equipment) -> set[str]:
    """Return every terminal a piece of equipment may have; an in-line device takes any live conductor."""
    if spec.PORTS.get("") == ("*",):
        return {id_}
    live = ("L", "L1", "L2", "N", "plus", "minus") if isinstance(spec, Inline) else ()
    return {
        ".".join(part for part in (id_, port, conductor) if part)
        for port, conductors in spec.PORTS.items()
        for conductor in (live or conductors)
    }


def _terminals(d: Description, tree: Mapping) -> Iterator[Problem]:
    known = {id_: terminal_names(id_, spec) for id_, spec in d.equipment.items()}
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
        id_ = end.split(".")[0]
        if id_ not in known:
            yield Problem("unknown id", mark, {"id": id_, "meant": meant(id_, known)})
        elif end not in known[id_]:
            yield Problem("unknown terminal", mark, {"terminal": end, "id": id_, "meant": meant(end, sorted(known[id_]))})


def _accepted(d: Description, tree: Mapping) -> Iterator[Problem]:
    ids = [*d.equipment, *d.cables, "build"]
    for number, accepted in enumerate(d.accepted):
        yield from _known(accepted.where, ids, locate(tree, ("accepted", number, "where")), "unknown id", "id")
