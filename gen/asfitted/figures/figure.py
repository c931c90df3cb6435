"""What this room hands on: a picture with everything that a page needs to show it to everyone."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Figure:
    """One picture. `name` is unique in its document and safe as the name of a file; `description` says in
    lines of words what the picture shows, for readers who cannot see it.
    """

    name: str
    svg: bytes
    title: str
    alternative: str
    description: tuple[str, ...]
