"""How places of faults, devices that open and things that are touched are named on pages."""

from collections.abc import Iterable

from markupsafe import Markup

from asfitted import words
from asfitted.chapters.book import Book
from asfitted.chapters.order import in_order
from asfitted.escape import escape
from asfitted.numbers import tied
from asfitted.studies.faults.result import FaultResult, Touch

_COMMA = Markup(", ")


def unit(book: Book, id_: str) -> Markup:
    """Return the name of a unit that opens, stops or moves: aboard with a link, at the site in words."""
    if id_ in book.study.network.items:
        return book.item(id_)
    item, _, part = id_.rpartition(" ")
    if part in ("upstream", "transfer") and item in book.study.network.items:
        name = book.study.network.items[item].name
        key = "supply" if part == "upstream" else "item"
        return _text(f"units.{part}", **{key: name})
    return _plain(id_)


def units(book: Book, ids: Iterable[str], last: str = ", ") -> Markup:
    """Return the names of several units with commas between, those aboard first; `last` goes before the last."""
    known = book.study.network.items
    every = in_order(dict.fromkeys(ids))
    found = [unit(book, id_) for id_ in sorted(every, key=lambda id_: id_ not in known)]
    return Markup(last).join([_COMMA.join(found[:-1]), found[-1]] if len(found) > 1 else found)  # noqa: S704


def place(book: Book, at: str) -> Markup:
    """Return where a fault lies: `F3.out.L` is F3 (load side); two faults in a row are joined by `then`."""
    return Markup(", then ").join(_one(book, part) for part in at.split(" + "))


def places(book: Book, at: Iterable[str], firsts_only: bool = False) -> Markup:
    """Return where several faults lie, each name once; of two in a row the second ones behind their first."""
    firsts: dict[Markup, dict[Markup, None]] = {}
    for each in at:
        first, *rest = each.split(" + ")
        firsts.setdefault(_one(book, first), {}).update(dict.fromkeys(_one(book, part) for part in rest))
    if firsts_only or not any(firsts.values()):
        return _COMMA.join(firsts)
    return Markup("; ").join(
        first + Markup(", then ") + _COMMA.join(seconds) if seconds else first
        for first, seconds in firsts.items()
    )


def _one(book: Book, at: str) -> Markup:
    stem, mark, part = at.partition("#")
    if mark and part in words.catalogue("fault_chapter")["parts"]:
        item = book.study.network.items.get(stem)
        return _text(f"parts.{part}", item=item.name if item else stem)
    owner = at if at in book.study.network.items else at.split(".")[0]
    rest = at[len(owner) + 1 :]
    ports = words.catalogue("fault_chapter")["ports"]
    port, _, conductor = rest.rpartition(".")
    detail = ports.get(port, port) if port else ""
    if "–" in rest or " " in conductor or port == "pins":
        detail = f"{detail} {conductor}".strip()
    return book.thing(owner) + (Markup(" (") + _plain(detail) + Markup(")") if detail else Markup(""))


def owners_of(book: Book, ids: Iterable[str]) -> Markup:
    """Return equipment and cables by name, each once."""
    return _COMMA.join(book.thing(id_) for id_ in dict.fromkeys(ids))


def touched(book: Book, touch: Touch, end: str) -> Markup:
    """Return one end of a touch, `from_` or `to`: a case by its name, a pin with its inlet."""
    name = str(getattr(touch, end))
    known = name.split(".")[0] in book.study.network.items
    return _one(book, name) if known else _plain(name)


def _text(key: str, **fields: object) -> Markup:
    return _plain(words.text("fault_chapter", key, **fields))


def _plain(text: str) -> Markup:
    return Markup(escape(text))  # noqa: S704  (escaped)


def span(ids: Iterable[str]) -> str:
    """Return ids of states in their order, runs drawn together: `S1–S4, S7`."""
    numbers = sorted({int(id_.lstrip("S")) for id_ in ids})
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    parts = []
    for run in runs:
        parts += [f"S{run[0]}–S{run[-1]}"] if len(run) > 2 else [f"S{number}" for number in run]
    return ", ".join(parts)


def reasons(r: FaultResult) -> str:
    """Return why nothing ends a fault, in words."""
    told = [words.text("faults", f"reasons.{reason.code}", **reason.fields) for reason in r.chain]
    return tied(" ".join(told).replace("_", " ").replace("#", ", "))


def capital(text: str) -> str:
    """Return a text with a capital at its beginning."""
    return text[:1].upper() + text[1:]
