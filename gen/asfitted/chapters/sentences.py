"""Sentences that name equipment: what a study fills in becomes a link, everything else is escaped."""

import string

from markupsafe import Markup

from asfitted import words
from asfitted.chapters.book import Book
from asfitted.escape import escape
from asfitted.network.labels import found_at
from asfitted.studies.procedures.model import Parts

_FORMATTER = string.Formatter()


def sentence(book: Book, catalogue: str, key: str, fields: dict[str, object]) -> Markup:
    """Return the sentence `key` of a catalogue with its fields filled in, ready for a page.

    Raises KeyError for an unknown key or a field that was not given, ValueError for a field that is empty.
    """
    return filled(book, words.raw(catalogue, key), fields)


def filled(book: Book, pattern: str, fields: dict[str, object]) -> Markup:
    """Return a pattern with its fields filled in; equipment is named with links, by commas and `and`."""
    made = Markup()
    for literal, name, _, _ in _FORMATTER.parse(pattern):
        made += Markup(_spaced(literal))  # noqa: S704  (escaped)
        if name is not None:
            value = _value(book, fields[name])
            if not value:
                raise ValueError(f"nothing to say for {name!r} in {pattern!r}")
            made += value
    return made


def _spaced(literal: str) -> str:
    """Escape a piece of a sentence; the spaces at its ends belong to the sentence."""
    inner = escape(literal)
    return " " * literal.startswith(" ") * bool(inner) + inner + " " * literal.endswith(" ")


def _value(book: Book, value: object) -> Markup:
    if isinstance(value, Parts):
        return names(book, value.ids)
    return value if isinstance(value, Markup) else Markup(escape(str(value)))  # noqa: S704  (escaped)


def names(book: Book, ids: tuple[str, ...]) -> Markup:
    """Return links to several things as one says them: commas, and “and” before the last."""
    links = [book.thing(id_) for id_ in dict.fromkeys(ids)]
    if len(links) < 2:
        return links[0] if links else Markup()
    last = Markup(" {} ").format(words.text("labels", "and"))
    return Markup(", ").join(links[:-1]) + last + links[-1]


def places(book: Book, ids: tuple[str, ...]) -> list[dict[str, object]]:
    """Return where equipment sits: each place once, with the things that sit there."""
    network = book.study.network
    found: dict[str, list[str]] = {}
    for id_ in ids:
        found.setdefault(found_at(network, network.items[id_]), []).append(id_)
    return [{"place": place, "items": names(book, tuple(at))} for place, at in found.items() if place]
