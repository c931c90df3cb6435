"""A publication as large and as varied as a real one, made of nothing but placeholders."""

import datetime
from dataclasses import replace

from asfitted.escape import escape
from asfitted.publish.model import Asset, Page, Publication

SVG = """<svg xmlns="http://www.w3.org/2000/svg" width="{width}{unit}" height="{height}{unit}"
 viewBox="0 0 {width} {height}" role="img" aria-label="drawing"><rect x="1" y="1" width="{inner_width}"
 height="{inner_height}" fill="none" stroke="#1c2126"/><path d="M20 60 H{inner_width}" stroke="#1c2126"
 fill="none"/><text x="24" y="48" font-family="Source Sans Pro" font-size="14">{text}</text><text x="24"
 y="84" font-family="Source Sans Pro" font-size="12" font-weight="600">16 A · 2.5 mm² · 7 m</text></svg>"""


def drawing(number: int, width: int = 520, height: int = 220, unit: str = "") -> Asset:
    """Return a drawing; with unit mm its size on paper is meant."""
    size = {"width": width, "height": height, "inner_width": width - 2, "inner_height": height - 2}
    svg = SVG.format(**size, unit=unit, text="Inlet, breaker, changeover")
    return Asset(
        f"figures/sheet-{number}.svg",
        svg.encode(),
        f"Single-line figure {number}",
        ("Inlet to Q1 by W1, 25 m.", "Q1 to changeover by W2, 0.5 m."),
    )


def figure(number: int, caption: str) -> str:
    return f"""<figure markdown id="fig-{number}">
![Single-line figure {number}](figures/sheet-{number}.svg)
<figcaption markdown>{caption}</figcaption>
</figure>
"""


CAUTIONS = """!!! danger "DANGER"
    The terminals of the battery stay live after the isolator has been opened. Cover them before work begins.

!!! warning "WARNING"
    Two supplies feed this board. Switch off the inverter **and** pull the supply lead.

!!! caution "CAUTION"
    The case of the charger may be hot.

!!! notice "NOTICE"
    Charging below 0 °C shortens the life of the cells.
"""

CHECKLIST = """<ul class="checklist" markdown>
<li markdown="span"><label><input type="checkbox"> Supply lead *pulled* and coiled.</label></li>
<li><label><input type="checkbox"> Isolator open; voltage between the bars <strong>0 V</strong>, measured
<span class="blank"></span> V.</label></li>
<li><label><input type="checkbox"> Gas closed.</label></li>
</ul>
"""


def circuit_rows(count: int) -> str:
    names = (
        "reading desk sockets",
        "ceiling lamps",
        "water pump",
        "roof fan with a rather longer description",
    )
    return "".join(
        f"| [F{n}](circuits.md#circuit-f1) | {names[n % 4]} | {6 + n % 5 * 4} | {1.5 + n % 3} "
        f"| {n * 0.7:.1f} | {n * 0.11:.2f} |\n"
        for n in range(1, count + 1)
    )


def circuits_page() -> str:
    return f"""# Circuits {{#circuits}}

Every circuit has one protective device. Read the drawing in [the overview](index.md#overview) beside it.

## All circuits {{#all-circuits}}

The devices in the order of the board:

| Circuit | Feeds | Rated current (A) | Cable (mm²) | Length (m) | Voltage drop (V) |
|---|---|---:|---:|---:|---:|
{circuit_rows(70)}
## Circuit F1 {{#circuit-f1}}

Feeds four sockets at the reading desk.[^rule] It is on [one side](#all-circuits) of the board.

[^rule]: The rule and the table row that decided this size stand in the appendix.

{CAUTIONS}
"""


def wide_page() -> str:
    head = "| " + " | ".join(f"Column {n}" for n in range(1, 13)) + " |\n|" + "---|" * 12 + "\n"
    row = "| F1 | " + " | ".join("first earth fault loop impedance" for _ in range(11)) + " |\n"
    return f"""# Working sheets {{#working-sheets}}

Before the wide table.

<div class="landscape" markdown>

## Every state against every circuit {{#states-circuits}}

{head}{row * 14}
</div>

After the wide table, upright again. Pictures that need it stand across the sheet.

## The drawing {{#drawing}}

{figure(3, "A drawing that is wider than the sheet.")}

## A table that must be squeezed {{#squeezed}}

{head}{row * 2}
"""


def index_page() -> str:
    return f"""# About this record {{#about}}

This record describes one installation as it was fitted. See [circuit F1](circuits.md#circuit-f1) and
[the working sheets](sheets.md).

<p class="only-screen">Pages open from the list on the left.</p>
<p class="only-print">Keep this book in the door of the board.</p>

## Overview {{#overview}}

{figure(1, "The whole installation on one line. Planned parts are dashed.")}

Running text continues below the figure, and it is long enough to fill several lines so that one can judge the
measure of the line, the leading between the lines and the colour of the page as a whole; nobody likes reading
lines of a hundred and twenty letters, and nobody enjoys turning pages that hold nine words.

### What to do first {{#first}}

1. Read the cautions.
2. Find the main switch:
    - beside the inlet, nearside rear corner;
    - the battery isolator, in the locker.
3. Keep the lead dry.

{CHECKLIST}
Impedance
:   How strongly a circuit resists alternating current, *Z* = *U* / *I*.

Bond
:   A joint of neutral and earth, made at one place: `N–PE`.
"""


def chapter(number: int) -> str:
    text = "The device disconnects within the time that the rule asks for, in every operating state. " * 6
    return f"""# Chapter number {number} {{#chapter-{number}}}

{text}

## Part one {{#part-one}}

{text}

{figure(2, "What is behind the panel.")}

## Part two {{#part-two}}

| Test | Limit | Result | Verdict |
|---|---:|---:|---|
| Insulation resistance, all live conductors to earth | 1.0 MΩ | > 200 MΩ | |
| Disconnection time of the residual current device at its rated current | 300 ms | 24 ms | pass |

{text}

{CAUTIONS}

### Part three {{#part-three}}

{text}
"""


def publication(chapters: int = 2) -> Publication:
    """Return a publication with index, circuits, wide sheets and `chapters` more pages."""
    more = tuple(Page(f"chapter-{n}", f"Chapter number {n}", chapter(n)) for n in range(1, chapters + 1))
    return Publication(
        title="The Paper Lantern, a travelling library",
        subtitle="Record of the electrical installation as fitted",
        reference="PL-1",
        revision="3",
        revision_date=datetime.date(2026, 5, 12),
        fingerprint="3f9a2c41d07be86655c1a9e0f2b4837d6c1e5a90b8f7d2431c6e9a0b5d8f4e27",
        edition="owner",
        paper="A4",
        draft=False,
        pages=(
            Page("index", "About this record", index_page()),
            Page("circuits", "Circuits", circuits_page()),
            Page("sheets", "Working sheets", wide_page()),
            *more,
        ),
        assets=(drawing(1), drawing(2, 420, 300), drawing(3, 269, 172, "mm")),
        record=b'{"format": 1}\n',
    )


def with_page(base: Publication, markdown: str, title: str = "Extra") -> Publication:
    """Return `base` with one more page `extra`."""
    return replace(base, pages=(*base.pages, Page("extra", title, markdown)))


def hostile_page(text: str) -> str:
    """Return a page that shows `text` of a stranger in a heading, a paragraph and a cell."""
    shown = escape(text)
    return f"# {shown} {{#extra}}\n\n{shown}\n\n| Head | Other |\n|---|---|\n| {shown} | x |\n"
