"""Places in the user's file."""

from dataclasses import dataclass


@dataclass(frozen=True, order=True)
class Mark:
    """A place in a file: line and column, both counted from 1."""

    line: int
    column: int

    def right(self, characters: int) -> "Mark":
        """Return the place so many characters further on the same line."""
        return Mark(self.line, self.column + characters)

    def __str__(self) -> str:
        return f"{self.line}:{self.column}"


START = Mark(1, 1)
