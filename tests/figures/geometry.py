"""What must hold on every page, checked on its geometry alone. Each check yields a sentence per fault."""

from collections.abc import Iterator

from asfitted.figures.graph import Diagram
from asfitted.figures.layout import Page
from asfitted.figures.layout.page import Line, Rect
from asfitted.figures.layout.shapes import SHAPES, START

TOUCH_MM = 0.02
NEAR_MM = 0.6


def meet(a: Rect, b: Rect, gap: float = -TOUCH_MM) -> bool:
    return a[0] < b[2] + gap and b[0] < a[2] + gap and a[1] < b[3] + gap and b[1] < a[3] + gap


def strokes(line: Line) -> list[Rect]:
    pairs = zip(line.points, line.points[1:], strict=False)
    return [(min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1])) for a, b in pairs]


def faults(page: Page, diagram: Diagram) -> list[str]:
    """Return every fault of a page."""
    return [
        *overlaps(page),
        *wires_through_things(page),
        *wires_on_wires(page),
        *outside(page),
        *ends(page, diagram),
        *frames(page),
    ]


def overlaps(page: Page) -> Iterator[str]:
    things = [(f"box {b.piece}", b.rect) for b in page.boxes] + [
        (f"bar {b.piece}", b.rect) for b in page.bars
    ]
    things += [(f"link {b.piece}", b.link_rect) for b in page.boxes if b.link_rect]
    things += [(f"text {t.text!r}", t.rect) for t in page.texts]
    for i, (name, rect) in enumerate(things):
        for other, other_rect in things[i + 1 :]:
            if meet(rect, other_rect):
                yield f"{name} overlaps {other}"


def wires_through_things(page: Page) -> Iterator[str]:
    things = [(f"box {b.piece}", b.rect) for b in page.boxes] + [
        (f"text {t.text!r}", t.rect) for t in page.texts
    ]
    things += [(f"link {b.piece}", b.link_rect) for b in page.boxes if b.link_rect]
    for line in page.wires:
        for stroke in strokes(line):
            for name, rect in things:
                if meet(stroke, rect):
                    yield f"wire {line.wire} passes through {name}"
            for bar in page.bars:
                ends_here = any(_on(point, bar.rect) for point in (line.points[0], line.points[-1]))
                if meet(stroke, bar.rect) and not ends_here:
                    yield f"wire {line.wire} crosses bar {bar.piece}"


def _on(point: tuple[float, float], rect: Rect) -> bool:
    x, y = point
    return rect[0] - TOUCH_MM <= x <= rect[2] + TOUCH_MM and rect[1] - TOUCH_MM <= y <= rect[3] + TOUCH_MM


def wires_on_wires(page: Page) -> Iterator[str]:
    items = [(line, stroke) for line in page.wires for stroke in strokes(line)]
    for i, (line, a) in enumerate(items):
        for other, b in items[i + 1 :]:
            if line.wire == other.wire or set(line.nets) & set(other.nets):
                continue
            for along, across in ((0, 1), (1, 0)):
                flat = a[across] == a[across + 2] and b[across] == b[across + 2]
                overlap = min(a[along + 2], b[along + 2]) - max(a[along], b[along])
                if flat and overlap > TOUCH_MM and abs(a[across] - b[across]) < NEAR_MM:
                    yield f"wire {line.wire} lies on wire {other.wire}"
    for line in page.wires:
        for (x0, y0), (x1, y1) in zip(line.points, line.points[1:], strict=False):
            if x0 != x1 and y0 != y1:
                yield f"wire {line.wire} is not square"


def outside(page: Page) -> Iterator[str]:
    rects = [(f"text {t.text!r}", t.rect) for t in page.texts] + [
        (f"box {b.piece}", b.rect) for b in page.boxes
    ]
    rects += [(f"link {b.piece}", b.link_rect) for b in page.boxes if b.link_rect]
    rects += [(f"bar {b.piece}", b.rect) for b in page.bars] + [
        (f"frame {f.board}", f.rect) for f in page.frames
    ]
    rects += [(f"wire {w.wire}", stroke) for w in page.wires for stroke in strokes(w)]
    for name, rect in rects:
        if min(rect[0], rect[1]) < 0 or rect[2] > page.width or rect[3] > page.height:
            yield f"{name} leaves the page"


def ends(page: Page, diagram: Diagram) -> Iterator[str]:
    """Every wire ends on its ports, arrives from outside, and the port lies on the side its symbol says."""
    boxes = {box.piece: box for box in page.boxes}
    bars = {bar.piece: bar for bar in page.bars}
    lines = {line.wire: line for line in page.wires}
    for wire in diagram.wires:
        points = lines[wire.id].points
        for (piece, port), end, following in (
            (wire.a, points[0], points[1]),
            (wire.b, points[-1], points[-2]),
        ):
            if piece in bars:
                if not _on(end, bars[piece].rect):
                    yield f"wire {wire.id} does not end on bar {piece}"
                continue
            box = boxes[piece]
            shape = SHAPES[box.symbol]
            found = dict(box.ports)[port if port in shape.ports else ""]
            if (found.x, found.y) != end:
                yield f"wire {wire.id} misses port {port} of {piece}"
            way = (following[0] - end[0], following[1] - end[1])
            if way[0] * found.normal[0] + way[1] * found.normal[1] <= 0:
                yield f"wire {wire.id} meets {piece} from the wrong side"
            if port in shape.ports:
                side = shape.ports[port][0]
                against = sum(found.normal) < 0
                if (side == START) != (against != box.turned):
                    yield f"port {port} of {piece} lies on the wrong side"


def frames(page: Page) -> Iterator[str]:
    for frame in page.frames:
        x0, y0, x1, y1 = frame.rect
        for edge in ((x0, y0, x1, y0), (x0, y1, x1, y1), (x0, y0, x0, y1), (x1, y0, x1, y1)):
            for text in page.texts:
                if meet(edge, text.rect):
                    yield f"frame {frame.board} cuts text {text.text!r}"
            for box in page.boxes:
                if meet(edge, box.rect):
                    yield f"frame {frame.board} cuts box {box.piece}"
