"""Chapter: after a trip. Questions with answers that lead to the cause; the devices, where they sit, what they feed."""

from typing import Any

from markupsafe import Markup

from asfitted import words
from asfitted.chapters.book import Book
from asfitted.chapters.cautions import at_act, cautions
from asfitted.chapters.operation import link, steps
from asfitted.chapters.order import in_order
from asfitted.chapters.sentences import filled
from asfitted.network.labels import found_at, kind_word, rating
from asfitted.studies.procedures.model import Answer, Question, Serves, Tree


def context(book: Book) -> dict[str, Any]:
    """Return the questions, numbered, with where each answer leads; the devices; the part of a skilled person."""
    tree, said = book.procedures.tree, cautions(book)
    if tree is None:
        return {"questions": [], "devices": [], "fuses": [], "skilled": [], "cautions": []}
    return {
        "questions": [_question(book, tree, each) for each in tree.questions],
        "devices": _devices(book, (*tree.residual, *tree.breakers)),
        "fuses": _devices(book, tree.fuses),
        "skilled": steps(book, tree.skilled, said),
        "cautions": at_act(said, "after-trip"),
    }


def _question(book: Book, tree: Tree, found: Question) -> dict[str, Any]:
    return {
        "number": tree.order[found.code],
        "anchor": _anchor(found.code),
        "ask": filled(book, words.raw("after_trip", f"questions.{found.code}"), found.fields),
        "answers": [_answer(book, tree, each) for each in found.answers],
    }


def _answer(book: Book, tree: Tree, found: Answer) -> dict[str, Any]:
    ends = words.catalogue("after_trip")["ends"]
    return {
        "seen": words.text("after_trip", f"answers.{found.code}"),
        "question": tree.order.get(found.to),
        "anchor": _anchor(found.to),
        "end": ends.get(found.to),
        "procedure": None if found.to in tree.order or found.to in ends else link(book, found.to),
    }


def _anchor(code: str) -> Markup:
    return Markup(f"trip-{code}")  # noqa: S704  (codes of ours)


def _devices(book: Book, found: tuple[Serves, ...]) -> list[dict[str, Any]]:
    by_id = {serves.device: serves for serves in found}
    network = book.study.network
    return [
        {
            "name": book.item(id_),
            "kind": kind_word(network.items[id_]),
            "rating": rating(network.items[id_].spec),
            "place": found_at(network, network.items[id_]),
            "feeds": book.things(by_id[id_].feeds),
        }
        for id_ in in_order(by_id)
    ]
