"""The one error of this room: a code, its fields, and a sentence from the catalogue of words."""

from asfitted.words import text


class PublishError(Exception):
    """A publication could not be made or put in place; the last good one still stands.

    `code` is stable and keys the sentence; `fields` are its values.
    """

    def __init__(self, code: str, **fields: object) -> None:
        super().__init__(code)
        self.code = code
        self.fields = fields

    def __str__(self) -> str:
        return text("layout", f"problems.{self.code}", **self.fields)

    def __reduce__(self) -> tuple[object, ...]:
        return _restore, (type(self), self.code, self.fields)


class LinkError(PublishError):
    """Links or anchors that lead nowhere, all of them at once."""


class OutputError(PublishError):
    """The output folder cannot or must not be written."""


class RenderError(PublishError):
    """A renderer refused its input: a fault of ours rather than the reader's."""


def _restore(kind: type[PublishError], code: str, fields: dict[str, object]) -> PublishError:
    return kind(code, **fields)
