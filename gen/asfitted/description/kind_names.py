"""Which kind of equipment a word means: misspelt, or called otherwise in the trade."""

from asfitted import words
from asfitted.description.kinds import KINDS
from asfitted.description.problems import either, meant, nearest

LISTING = 40


def kinds_meant(text: str) -> tuple[str, ...]:
    """Return the kinds that the first words of a text may mean; empty if none is near."""
    other = {name.casefold(): kinds for name, kinds in words.catalogue("problems")["other names"].items()}
    parts = text.casefold().replace(":", " ").split()
    for length in (3, 2, 1):
        start = " ".join(parts[:length])
        if start in other:
            return tuple(other[start])
        if start in (known := {kind.casefold(): kind for kind in KINDS}):
            return (known[start],)
    near = nearest(text, KINDS) or nearest(" ".join(text.split()[:2]), KINDS)
    near = near or nearest(text.split()[0] if parts else "", KINDS)
    return (near,) if near else ()


def meant_kind(text: str) -> str:
    """Return the advice for a word that is no kind: the kinds it may mean with what each is, else all kinds."""
    kinds = kinds_meant(text)
    if len(kinds) < 2:
        return meant(kinds[0] if kinds else "", KINDS, LISTING)
    said = words.catalogue("kinds")["kinds"]
    return words.text(
        "problems", "meant.either", names=either([f"“{kind}” ({_inside(said[kind])})" for kind in kinds])
    )


def _inside(sentence: str) -> str:
    """Return a sentence as it stands inside another."""
    first, rest = sentence[:1], sentence[1:]
    return (first.lower() + rest).removesuffix(".")
