"""The plan of where things are: the build from above in nine zones, and in each its places with what one acts on."""

from __future__ import annotations

from dataclasses import dataclass

from asfitted import words
from asfitted.description.kinds import Inline, Load, Sockets
from asfitted.network.labels import where
from asfitted.network.model import Item, Network

from .canvas import Canvas, Point
from .figure import Figure
from .layout.measure import line_pitch_mm, wrap

_ROWS = {
    **dict.fromkeys(("front", "bow", "forward"), 0),
    **dict.fromkeys(("middle", "amidships"), 1),
    **dict.fromkeys(("rear", "back", "stern", "aft"), 2),
}
_SIDES = {
    **dict.fromkeys(("left", "nearside", "port", "street side"), 0),
    "centre": 1,
    **dict.fromkeys(("right", "offside", "starboard", "curb side"), 2),
}
_WIDEST_MM, _EDGE_MM, _HEAD_MM, _BOW_MM, _PAD_MM, _LEAST_MM = 120.0, 2.0, 4.0, 16.0, 2.0, 20.0
_OUTLINE_PT, _ZONE_PT = 1.6, 0.4
Zone = tuple[int, int]


@dataclass(frozen=True)
class Place:
    """A place by its name, the zone it lies in (row from the front, column from the left; None: nobody says), and
    what is there.
    """

    name: str
    zone: Zone | None
    things: tuple[str, ...]


def places(network: Network) -> tuple[Place, ...]:
    """Return every place where there is something to switch, to plug in, to replace or to fear."""
    boards = network.description.boards
    found: dict[str, list[str]] = {}
    for item in network.items.values():
        board = boards.get(item.board or "")
        if board is not None:
            if board.place:
                found.setdefault(board.place, []).append(item.board or "")
        elif _acted_on(item) and (place := where(item)):
            found.setdefault(place, []).append(item.spec.short or item.name)
    return tuple(
        Place(name, _zone(network.description.places.get(name, "")), tuple(dict.fromkeys(things)))
        for name, things in found.items()
    )


def _nowhere(network: Network) -> tuple[str, ...]:
    """Return what one acts on of which nobody says where it is."""
    boards = network.description.boards
    unplaced = [name for name, board in boards.items() if not board.place]
    items = [i for i in network.items.values() if i.board not in boards and _acted_on(i) and not where(i)]
    return (*unplaced, *(item.spec.short or item.name for item in items))


def _acted_on(item: Item) -> bool:
    if isinstance(item.spec, Load):
        return any(load.priority == "essential" for load in item.spec.loads.values())
    passive = ("busbar", "earth bar", "structure", "ac supply", "dc supply")
    return (
        item.kind != "meter"
        and (isinstance(item.spec, Inline) or item.kind not in passive)
        and not isinstance(item.spec, Sockets)
    )


def _zone(said: str) -> Zone | None:
    if not said:
        return None
    row = next((n for word, n in _ROWS.items() if word in said.split()), 1)
    column = next((n for word, n in _SIDES.items() if said.endswith(word)), 1)
    return row, column


def location_plan(network: Network, width_mm: float) -> Figure | None:
    """Return the plan; None if the description puts no place in a zone."""
    known = places(network)
    drawn = [place for place in known if place.zone is not None]
    if not drawn:
        return None
    build = network.description.build
    title = words.text("figures", "plan.title")
    told = tuple(
        words.text(
            "figures",
            "plan.told",
            zone=network.description.places[p.name],
            place=p.name,
            things=", ".join(p.things),
        )
        for p in drawn
    )
    others = tuple(
        words.text("figures", "plan.elsewhere", place=p.name, things=", ".join(p.things))
        for p in known
        if p.zone is None
    )
    if nowhere := _nowhere(network):
        others = (*others, words.text("figures", "plan.nowhere", things=", ".join(nowhere)))
    alternative = words.text("figures", "plan.alternative", build=build.title)
    width = min(width_mm, _WIDEST_MM)
    column = (width - 2 * _EDGE_MM) / 3
    cells = {
        (r, c): _lines([p for p in drawn if p.zone == (r, c)], column) for r in range(3) for c in range(3)
    }
    pitch = line_pitch_mm()
    heights = [max(_LEAST_MM, *(pitch * len(cells[r, c]) + 2 * _PAD_MM for c in range(3))) for r in range(3)]
    bow = _BOW_MM if build.setting == "boat" else 0.0
    beside = [line for text in others for line in wrap(text, width_mm=width - 2 * _EDGE_MM)]
    top = _HEAD_MM + _EDGE_MM + bow
    foot = top + sum(heights)
    height = foot + _HEAD_MM + (pitch * len(beside) + _PAD_MM if beside else 0.0) + _EDGE_MM
    canvas = Canvas(width, height, title, " ".join((alternative, *told, *others)))
    canvas.line(_outline(build.setting, _EDGE_MM, width - _EDGE_MM, top, foot, bow), _OUTLINE_PT)
    _heads(canvas, network, width, top, foot, bow)
    y = top
    for row in range(3):
        if row:
            canvas.line([(_EDGE_MM, y), (width - _EDGE_MM, y)], _ZONE_PT, "2,2")
        for col in range(3):
            for n, (line, bold) in enumerate(cells[row, col]):
                canvas.text(
                    _EDGE_MM + col * column + _PAD_MM, y + _PAD_MM + pitch * (n + 0.5), line, bold=bold
                )
        y += heights[row]
    for n in (1, 2):
        x = _EDGE_MM + n * column
        canvas.line([(x, top), (x, foot)], _ZONE_PT, "2,2")
    for n, line in enumerate(beside):
        canvas.text(_EDGE_MM, foot + _HEAD_MM + _PAD_MM + pitch * (n + 0.5), line)
    return Figure("location-plan", canvas.svg(), title, alternative, (*told, *others))


def _lines(here: list[Place], column: float) -> list[tuple[str, bool]]:
    """Return the text of a zone: each place in bold, below it what is there."""
    room = column - 2 * _PAD_MM
    lines: list[tuple[str, bool]] = []
    for place in here:
        lines += [(line, True) for line in wrap(place.name, bold=True, width_mm=room)]
        lines += [(line, False) for line in wrap(", ".join(place.things), width_mm=room)]
    return lines


def _outline(setting: str, x0: float, x1: float, top: float, foot: float, bow: float) -> list[Point]:
    """Return the outline from above, its front at the top: a hull, a body with rounded corners, or walls."""
    if setting == "boat":
        middle = (x0 + x1) / 2
        return [(x0, foot), (x0, top), (middle, top - bow), (x1, top), (x1, foot), (x0, foot)]
    cut = 4.0 if setting in ("road vehicle", "trailer") else 0.0
    front = [(x0, top + cut), (x0 + cut, top), (x1 - cut, top), (x1, top + cut)]
    return [(x0, foot), *front, (x1, foot), (x0, foot)]


def _heads(canvas: Canvas, network: Network, width: float, top: float, foot: float, bow: float) -> None:
    """Write which end is the front, and which sides these are, in the words of the description."""
    said = list(network.description.places.values())

    def word(known: dict[str, int], number: int, usual: str) -> str:
        own = next((w for w, n in known.items() if n == number and any(w in zone for zone in said)), None)
        return words.text("figures", f"plan.zones.{own or usual}")

    boat = network.description.build.setting == "boat"
    y = top - bow - _HEAD_MM / 2
    canvas.text(width / 2, y, word(_ROWS, 0, "bow" if boat else "front"), "middle", bold=True)
    canvas.text(
        width / 2, foot + _HEAD_MM / 2, word(_ROWS, 2, "stern" if boat else "rear"), "middle", bold=True
    )
    canvas.text(_EDGE_MM, y, word(_SIDES, 0, "port" if boat else "left"), bold=True)
    canvas.text(width - _EDGE_MM, y, word(_SIDES, 2, "starboard" if boat else "right"), "end", bold=True)
