"""Wiring diagrams: for each board its terminals, cores with their colours, and where every conductor truly lands."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from asfitted import words
from asfitted.description.kinds import Fuse
from asfitted.network.labels import cable_size
from asfitted.network.model import Network

from .board import Board, boards
from .canvas import SIZE_PT, Canvas
from .core_colours import INKS, STROKES, Colour, ambiguous, colour, colours
from .figure import Figure
from .labels import length, piece_lines
from .layout import Paper
from .layout.measure import line_pitch_mm, text_width_mm, wrap
from .sheet_words import capital, sheet_title
from .wiring_plan import Bar, Device, End, Label, Plan, plans, tie

_HALO_PT, _EDGE_PT, _INK_PT, _BAR_PT, _SYMBOL_PT = 4.2, 2.3, 1.5, 3.4, 0.9
_LEAST_PT = 6.0
_LABEL_MM, _BAR_MM, _LEGEND_MM = 16.4, 16.0, 3.6
_DOT_MM = 0.9
_MOST_LINES = 4
_RESIDUAL = ("RCD", "RCBO", "GFCI breaker")


def wiring(network: Network, paper: Paper) -> list[Figure]:
    """Return the wiring diagram of every board, on as many sheets as it needs."""
    return [figure for board in boards(network) for figure in _of_board(network, board, paper)]


def _of_board(network: Network, board: Board, paper: Paper) -> list[Figure]:
    found = plans(network, board, paper.width_mm)
    number_ = list(network.description.boards).index(board.name) + 1
    return [
        _figure(network, board, plan, f"wiring-{number_}-{sheet}", sheet, len(found), paper)
        for sheet, plan in enumerate(found, 1)
    ]


def _figure(
    network: Network, board: Board, plan: Plan, name: str, sheet: int, sheets: int, paper: Paper
) -> Figure:
    title = capital(sheet_title("wiring", sheet, sheets, board=board.name))
    alternative = words.text("figures", "wiring.alternative", board=board.name)
    lines = _in_words(network, plan)
    present = tuple(c for c in colours(network) if any(core.conductor == c.conductor for core in plan.cores))
    legend = _legend(network, present)
    column = 11.0 + max(text_width_mm(_meaning(each)) for each in present)
    width = max(plan.width, column + 3.0)
    per_row = int((width - 3) // column)
    rows = -(-len(present) // per_row)
    notes = [line for text in legend for line in wrap(text, width_mm=width - 6)]
    height = plan.height + 3.0 + _LEGEND_MM * (rows + len(notes))
    canvas = Canvas(width, height, title, alternative)
    _draw(canvas, network, plan)
    y = plan.height + 2.0
    for n, each in enumerate(present):
        x = 3.0 + (n % per_row) * column
        _swatch(canvas, each, x, y + _LEGEND_MM * (n // per_row))
    for n, line in enumerate(notes):
        canvas.text(3.0, y + _LEGEND_MM * (rows + n), line)
    scale = min(1.0, max(paper.height_mm / height, _LEAST_PT / SIZE_PT), paper.width_mm / width)
    canvas.shrink(scale)
    return Figure(name, canvas.svg(), title, alternative, (*lines, *legend))


def _meaning(each: Colour) -> str:
    return words.text(
        "figures",
        "wiring.colour",
        code=each.code,
        name=words.text("figures", f"colours.{each.code}"),
        meaning=words.text("figures", f"conductors.{each.conductor}"),
    )


def _swatch(canvas: Canvas, each: Colour, x: float, y: float) -> None:
    _core(canvas, each.conductor, each.code, [(x, y), (x + 7, y)])
    canvas.text(x + 8, y, _meaning(each))


def _legend(network: Network, present: tuple[Colour, ...]) -> list[str]:
    """Return the sentences under the colours: where they are from, and what to beware of in this build."""
    sources = list(dict.fromkeys(each.source for each in present if each.source))
    stated = [each.code for each in present if not each.source]
    lines = []
    if stated:
        lines.append(words.text("figures", "wiring.stated", codes=", ".join(dict.fromkeys(stated))))
    if sources:
        key = "other by rules" if stated else "by rules"
        lines.append(words.text("figures", f"wiring.{key}", sources=_listed(sources)))
    for code, meanings in ambiguous(colours(network)).items():
        listed = "; ".join(words.text("figures", f"conductors.{c}") for c in meanings)
        name = words.text("figures", f"colours.{code}")
        lines.append(words.text("figures", "wiring.beware", name=capital(name), meanings=listed))
    return lines


def _listed(names: Sequence[str]) -> str:
    """Return names with commas, the last with "and"."""
    if len(names) < 2:
        return "".join(names)
    return words.text("figures", "wiring.and", first=", ".join(names[:-1]), last=names[-1])


def _in_words(network: Network, plan: Plan) -> list[str]:
    """Return every cable of a sheet with its cores and where they land."""
    lines = []
    for id_ in dict.fromkeys(core.cable for core in plan.cores if core.cable):
        cable = network.cables[id_]
        cores = "; ".join(
            words.text(
                "figures",
                "wiring.core",
                conductor=words.text("figures", f"conductors.{core.conductor}"),
                code=colour(network, core.conductor).code,
                a=_terminal(network, core.a),
                b=_terminal(network, core.b),
            )
            for core in cable.cores
        )
        lines.append(words.text("figures", "wiring.cable", cable=id_, size=cable_size(cable), cores=cores))
    return lines


def _terminal(network: Network, terminal: str) -> str:
    name = network.items[network.owner[terminal]].name
    rest = terminal.removeprefix(network.owner[terminal]).strip(".").replace(".", " ")
    return f"{name} {rest}".strip()


def _draw(canvas: Canvas, network: Network, plan: Plan) -> None:
    for bar in plan.bars:
        _bar(canvas, network, bar)
    for a, b in plan.links:
        canvas.line([a, b], 0.8, "1,1.4")
    for core in plan.cores:
        _core(canvas, core.conductor, colour(network, core.conductor).code, core.points)
    for x, y in plan.dots:
        canvas.dot(x, y, _DOT_MM)
    for device in plan.devices:
        _device(canvas, network, device)
    for end in plan.ends:
        _end(canvas, network, end)
    for label in plan.labels:
        _label(canvas, network, label)


def _core(canvas: Canvas, conductor: str, code: str, points: Sequence[tuple[float, float]]) -> None:
    """Draw a core: a halo, a dark outline, then its ink in the stroke of its function, on white."""
    inks = INKS[code]
    dash = STROKES[conductor]
    canvas.line(points, _HALO_PT, ink="#ffffff")
    canvas.line(points, _EDGE_PT)
    if len(inks) > 1:
        canvas.line(points, _INK_PT, ink=inks[0])
        canvas.line(points, _INK_PT, dash, ink=inks[1])
    else:
        canvas.line(points, _INK_PT, ink="#ffffff")
        canvas.line(points, _INK_PT, dash, ink=inks[0])


def _bar(canvas: Canvas, network: Network, bar: Bar) -> None:
    canvas.line([(bar.x0, bar.y), (bar.x1, bar.y)], _BAR_PT)
    name = network.items[bar.item].spec.short or network.items[bar.item].name
    canvas.text(bar.x0 - 1.5, bar.y, wrap(name, bold=True, width_mm=_BAR_MM)[0], "end", bold=True)


def _device(canvas: Canvas, network: Network, device: Device) -> None:
    x0, y0, x1, y1 = device.rect
    item = network.items[device.item]
    canvas.frame(x0, y0, x1 - x0, y1 - y0, "4,2" if item.planned else "")
    contacts = getattr(item.spec, "contacts", ())
    middle = (y0 + y1) / 2
    for conductor, x in device.poles:
        for y in (y0, y1):
            canvas.ring(x, y, 0.6)
        if isinstance(item.spec, Fuse):
            canvas.line([(x, y0 + 0.6), (x, y1 - 0.6)], _SYMBOL_PT)
            canvas.frame(x - 1.0, middle - 2.2, 2.0, 4.4)
        elif conductor in contacts or device.position:
            canvas.line([(x, y0 + 0.6), (x, middle - 2.0)], _SYMBOL_PT)
            canvas.line([(x - 1.4, middle - 1.7), (x, middle + 2.0), (x, y1 - 0.6)], _SYMBOL_PT)
        else:
            canvas.line([(x, y0 + 0.6), (x, y1 - 0.6)], _SYMBOL_PT)
    for a, b in pairwise(x for c, x in device.poles if c in contacts or device.position):
        canvas.line([(a - 0.7, middle + 0.15), (b - 0.7, middle + 0.15)], 0.6, "0.9,1.1")
    if item.kind in _RESIDUAL:
        canvas.ellipse((x0 + x1) / 2, y1 - 2.1, (x1 - x0) / 2 - 0.7, 0.8)
    if device.position:
        canvas.text(x0 - 1.0, y0 + 1.6, device.position, "end", bold=True)
    if device.last:
        name = [(line, True) for line in wrap(item.spec.short or item.name, bold=True, width_mm=_LABEL_MM)]
        rest = [
            (line, False) for text in piece_lines(network, item) for line in wrap(text, width_mm=_LABEL_MM)
        ]
        _block(canvas, device.text_x, y0 + 0.8, (name + rest)[:_MOST_LINES])


def _block(canvas: Canvas, x: float, y: float, lines: Sequence[tuple[str, bool]]) -> None:
    for n, (line, bold) in enumerate(lines):
        canvas.text(x, y + n * line_pitch_mm(), line, bold=bold)


def _end(canvas: Canvas, network: Network, end: End) -> None:
    x0, y0, x1, y1 = end.rect
    item = network.items[end.item]
    canvas.frame(x0, y0, x1 - x0, y1 - y0, "4,2" if item.planned else "")
    inwards, edge = (-1, y1) if end.up else (1, y0)
    at = dict(end.terminals)
    bond = tie(network, end.item, end.cable)
    if bond is not None:
        _tie(canvas, at["N"], at["PE"], edge, inwards, fixed=bond.when == "always")
    for conductor, x in end.terminals:
        canvas.ring(x, edge, 0.6)
        letters = edge + inwards * (4.4 if bond else 2.2)
        canvas.text(x, letters, words.text("figures", f"terminal.{conductor}"), "middle")
    name = item.board if item.kind in ("busbar", "earth bar") and item.board else item.spec.short or item.name
    room = x1 - x0 - 2
    lines = [(line, True) for line in wrap(name, bold=True, width_mm=room)[:2]]
    if bond is not None:
        lines += [(words.text("figures", f"wiring.link.{bond.when}"), False)]
    elif elsewhere := _lands_elsewhere(network, end):
        said = words.text("figures", "wiring.link elsewhere", where=elsewhere)
        lines += [(line, False) for line in wrap(said, width_mm=room)]
    first = y0 + 1.9 if end.up else y1 - 1.9 - (len(lines) - 1) * line_pitch_mm()
    _block(canvas, x0 + 1.0, first, lines)


def _lands_elsewhere(network: Network, end: End) -> str:
    """Return the name of the bar on which the neutral at the end of a cable is tied to earth, if it is not tied here."""
    ends = {terminal for core in network.cables[end.cable].cores for terminal in (core.a, core.b)}
    for bond in network.bonds:
        if bond.equipment == end.item and bond.neutral in ends and bond.earth in network.items:
            return network.items[bond.earth].name
    return ""


def _tie(canvas: Canvas, neutral: float, earth: float, edge: float, inwards: int, fixed: bool) -> None:
    """Draw the link from neutral to earth between the terminals on which it lands; a contact where a relay closes it."""
    y = edge + inwards * 2.0
    if fixed:
        canvas.line([(neutral, edge), (neutral, y), (earth, y), (earth, edge)], 1.6)
        return
    gap = earth - neutral
    canvas.line([(neutral, edge), (neutral, y), (neutral + 0.25 * gap, y)], 1.0)
    canvas.line([(neutral + 0.25 * gap, y + 1.1), (neutral + 0.72 * gap, y), (earth, y), (earth, edge)], 1.0)


def _label(canvas: Canvas, network: Network, label: Label) -> None:
    """Write designation, size and length beside a cable, and at each core the letters of its colour."""
    cable = network.cables[label.cable]
    first = label.y + 2.1
    _block(canvas, label.x, first, [(label.cable, True)])
    for conductor, x in label.cores:
        canvas.text(x + 1.0, first + line_pitch_mm(), colour(network, conductor).code)
    size = f"{cable_size(cable)}, {length(network, cable.length_m)}"
    rest = [(line, False) for line in wrap(size, width_mm=_LABEL_MM)]
    _block(canvas, label.x, first + 2 * line_pitch_mm(), rest[:2])
