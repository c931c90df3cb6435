"""What the publish room is given: finished pages, finished figures and the identity of the document."""

import datetime
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import PurePosixPath
from typing import Any, Literal

from asfitted.description.audience import Edition
from asfitted.publish.errors import PublishError
from asfitted.words import catalogue

PaperName = Literal["A4", "Letter", "A5"]

_ID = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
_PATH = re.compile(r"([a-z0-9][a-z0-9_.-]*/)+[a-z0-9][a-z0-9_.-]*")
# Device names that some systems refuse as a file name whatever the ending.
_DEVICES = frozenset(
    {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(1, 10))}
)


@dataclass(frozen=True)
class Page:
    """One page: `id` names the file `<id>.md`, `title` is plain text, `markdown` begins with its heading."""

    id: str
    title: str
    markdown: str


@dataclass(frozen=True)
class Asset:
    """A picture: `path` relative to the pages, file content, alternative text and its statements in words."""

    path: str
    data: bytes
    alt: str
    long_description: tuple[str, ...] = ()


@dataclass(frozen=True)
class Publication:
    """One edition of one document, complete: from here on nothing is calculated or looked up.

    `fingerprint` is the hash of the input in hexadecimal; `record` the content of record.json; `words` the
    catalogue of layout words. All texts are plain text, not Markdown, except the pages.
    """

    title: str
    subtitle: str
    reference: str
    revision: str
    revision_date: datetime.date
    fingerprint: str
    edition: Edition
    paper: PaperName
    draft: bool
    pages: tuple[Page, ...]
    assets: tuple[Asset, ...]
    record: bytes
    language: str = "en"
    words: Mapping[str, Any] = field(default_factory=lambda: catalogue("layout"))

    @property
    def timestamp(self) -> int:
        """Noon UTC of the revision date in Unix seconds: the only clock that reaches the published files."""
        noon = datetime.time(12, tzinfo=datetime.UTC)
        return int(datetime.datetime.combine(self.revision_date, noon).timestamp())

    @property
    def short_fingerprint(self) -> str:
        """The first twelve digits: enough to match a sheet to its source by eye."""
        return self.fingerprint[:12]

    @property
    def identity(self) -> tuple[str, ...]:
        """What stands on every page and sheet, in reading order."""
        words = self.words
        return (
            self.reference,
            words["revision"].format(revision=self.revision),
            self.revision_date.isoformat(),
            words["fingerprint"].format(fingerprint=self.short_fingerprint),
            words["editions"][self.edition],
        )


def check_names(publication: Publication) -> None:
    """Raise PublishError if an id or path could not be a file on every system, or occurs twice."""
    seen: set[str] = set()
    for number, page in enumerate(publication.pages):
        usable = _ID.fullmatch(page.id) and page.id not in _DEVICES
        if not usable or page.id in seen or (number == 0) != (page.id == "index"):
            raise PublishError("page-id", page=page.id)
        seen.add(page.id)
    for asset in publication.assets:
        stems = {part.split(".")[0] for part in PurePosixPath(asset.path).parts}
        if not _PATH.fullmatch(asset.path) or stems & _DEVICES or asset.path in seen:
            raise PublishError("asset-path", path=asset.path)
        seen.add(asset.path)
