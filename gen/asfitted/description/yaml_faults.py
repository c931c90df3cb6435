"""Why a text is no YAML: the parser's own words, known by a piece of them, become codes of problems of the
trade.
"""

import yaml

from asfitted.description.line_slips import cause
from asfitted.description.marks import START, Mark
from asfitted.description.problems import Problem

#: a piece of the parser's message (C or Python parser) -> code, and whether the fault began at the context's
# place
_KNOWN = (
    ("mapping values are not allowed", "second colon", False),
    ("found unexpected ':'", "second colon", False),
    ("did not find expected ',' or", "bracket not closed", False),
    ("expected ',' or", "bracket not closed", False),
    ("violates indentation", "tab", False),
    ("unexpected end of stream", "quote not closed", True),
    ("could not find expected ':'", "colon missing", True),
    ("undefined alias", "unknown alias", False),
    ("found another document", "two documents", False),
    ("expected <document start>", "two documents", False),
    ("expected '<document start>'", "two documents", False),
    ("sequence entries are not allowed", "dash not allowed", False),
    ("unknown escape character", "backslash", False),
    ("maximum nesting depth", "too deep", False),
    ("did not find expected '-' indicator", "row without dash", False),
    ("did not find expected key", "indentation", False),
    ("expected <block end>", "indentation", False),
    ("did not find expected node content", "stray sign", False),
    ("expected alphabetic or numeric character", "stray sign", False),
    ("cannot start any token", "stray sign", False),
)
#: what the parser notices after the place where it went wrong
SEEN_LATER = ("second colon", "bracket not closed", "colon missing", "indentation", "row without dash")


def fault(error: yaml.MarkedYAMLError, text: str, limit: int) -> Problem:
    """Return the problem that a parser's error means, at the place where a person would mend it."""
    words = "; ".join(part for part in (error.problem, error.context) if part)
    found = next((row for row in _KNOWN if row[0] in words), None)
    if found is None:
        return Problem("not yaml", _mark(error.problem_mark or error.context_mark), {"reason": words})
    _, code, at_context = found
    noticed = _mark(error.problem_mark or error.context_mark)
    began = _mark(error.context_mark or error.problem_mark)
    place = began if at_context else noticed
    sign = _sign_at(text, place)
    if sign == "\t":
        code = "tab"
    elif code == "bracket not closed" and sign == ":" and began.line == noticed.line:
        code = "second colon"
    elif code in ("indentation", "stray sign") and sign in ("}", "]"):
        code = "bracket too many"
    elif code == "two documents":
        place = noticed
    slip = cause(text, noticed, began, code) if code in SEEN_LATER else None
    fields: dict[str, object] = {
        "sign": sign,
        "first": str(began),
        "limit": limit,
        "right": "name: what it is",
    }
    return slip or Problem("out of place" if code == "indentation" else code, place, fields)


def _mark(mark: "yaml.Mark | None") -> Mark:
    return Mark(mark.line + 1, mark.column + 1) if mark else START


def _sign_at(text: str, mark: Mark) -> str:
    lines = text.splitlines()
    line = lines[mark.line - 1] if mark.line <= len(lines) else ""
    return line[mark.column - 1 : mark.column]
