"""The cells of a printed table: what they hold as plain lines, to be measured, and how they are set."""

from collections.abc import Iterator
from typing import Any

from asfitted.publish.columns import Cell, breakable
from asfitted.publish.markdown_tree import Element


def alignment(cell: Element) -> str:
    """Return left, center or right, as the Markdown says."""
    style = cell.attributes.get("style", "")
    return next((side for side in ("right", "center") if f"text-align: {side}" in style), "left")


def measured(cell: Element) -> Cell:
    """Return the lines of `cell` for the measuring of its column."""
    lines = [""]
    for found in _texts(cell):
        if found is None:
            lines.append("")
        else:
            lines[-1] += found
    semibold = cell.tag == "th" or any(found.tag in {"strong", "b"} for found in cell.walk())
    return Cell(tuple(_collapsed(line) for line in lines), semibold)


def _texts(element: Element) -> Iterator[str | None]:
    """Yield the text of a cell; None where a new line begins."""
    for child in element.children:
        if isinstance(child, str):
            yield child
        elif child.tag in {"input", "img"}:
            yield "MM"
        elif "blank" in child.classes:
            yield "M" * 8
        elif child.tag in {"code", "kbd"}:
            yield child.text() + "i" * len(child.text())  # the fixed pitch is wider than our family
        else:
            if child.tag in {"br", "p", "li"}:
                yield None
            yield from _texts(child)


def _collapsed(line: str) -> str:
    # Not split(): a no-break space is part of its word.
    return " ".join(part for part in line.replace("\n", " ").replace("\t", " ").split(" ") if part)


def with_breaks(data: Any, width_em: float) -> Any:
    """Return the data of a cell with a chance to break in words wider than `width_em`."""
    if isinstance(data, list):
        return [with_breaks(item, width_em) for item in data]
    if not isinstance(data, dict):
        return data
    if data.get("k") in {"text", "mono"}:
        return data | {"t": breakable(data["t"], width_em)}
    return {key: with_breaks(value, width_em) for key, value in data.items()}
