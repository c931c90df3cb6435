"""Who may read what: an edition of the documents, and the class of every field of a description."""

from typing import Literal

Edition = Literal["owner", "inspector", "public"]
