"""What is wrong with a file, at its line and column; the sentences are in the catalogue `problems`."""

import difflib
from collections.abc import Iterable
from dataclasses import dataclass, field

from asfitted import words
from asfitted.description.marks import Mark


@dataclass(frozen=True)
class Problem:
    """A fault of the description: `code` is a key of the `problems` words, `fields` fill its sentences."""

    code: str
    mark: Mark
    fields: dict[str, object] = field(default_factory=dict)

    def sentence(self, part: str) -> str:
        """Return one part of the message: what is wrong (`message`), why it matters (`why`), what is right (`right`)."""
        entry = words.catalogue("problems")[self.code]
        return str(entry[part]).format(**self.fields).strip() if part in entry else ""


def nearest(word: str, known: Iterable[str]) -> str:
    """Return a known word that was probably meant, or an empty text."""
    known = list(known)
    lowered = {candidate.lower(): candidate for candidate in known}
    if word.lower() in lowered:
        return lowered[word.lower()]
    match = difflib.get_close_matches(word, known, n=1, cutoff=0.6)
    return match[0] if match else ""


def meant(word: str, known: Iterable[str], listing: int = 12) -> str:
    """Return the advice for an unknown word: the nearest known one, else the list of what is allowed."""
    known = list(known)
    near = nearest(word, known)
    if near:
        return words.text("problems", "meant.near", near=near)
    if not known:
        return words.text("problems", "meant.none")
    more = words.text("problems", "meant.more", count=len(known) - listing) if len(known) > listing else ""
    return words.text("problems", "meant.list", names=", ".join(known[:listing])) + more
