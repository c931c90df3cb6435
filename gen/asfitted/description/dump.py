"""A tree as YAML text that a person can read: the long form, one row for each cable and piece of equipment.

Our own small emitter, because every scalar is text and must come back as the same text.
"""

import re

from asfitted.description.tree import Mapping, Node, Scalar, Sequence

WIDTH = 110
#: sections of which each entry is one row, however long
ROWS = ("equipment", "cables", "boards", "bundles", "spaces", "revisions")
#: fields that say what a row is, put in front
FIRST = ("kind", "type", "size", "length")
_PLAIN = re.compile(r"[A-Za-z0-9°(/-](?:[\w°²µΩ×./()%+'–-]| (?=[^ #]))*")
# Other readers of YAML take these for something other than text.
_NOT_PLAIN = re.compile(r"-( .*)?|---|\d{4}-\d{2}-\d{2}|true|false|null|on|off|yes|no|y|n", re.IGNORECASE)
_ESCAPED = re.compile('["\\\\\x00-\x1f\x7f-\xa0\u2028\u2029\ufeff\ufffe\uffff]')


def dump(tree: Mapping) -> str:
    """Return the text of a description's tree; reading it gives the same data."""
    return "\n".join(_section(key.text, node) for key, node in tree.entries)


def _section(name: str, node: Node) -> str:
    if name not in ROWS:
        return _block(name, node, 0)
    if not isinstance(node, Mapping) or not node.entries:
        return f"{text_of(name)}: {_flow(node)}\n"
    width = max(len(text_of(key.text)) for key, _ in node.entries) + 1
    rows = (f"  {text_of(key.text) + ':':<{width}} {_flow(value)}\n" for key, value in node.entries)
    return f"{text_of(name)}:\n" + "".join(rows)


def _block(name: str, node: Node, depth: int) -> str:
    """Return one entry: on one line where it fits, else its parts below it."""
    indent = "  " * depth
    line = f"{indent}{text_of(name)}: {_flow(node)}\n"
    if len(line) <= WIDTH or isinstance(node, Scalar):
        return line
    return f"{indent}{text_of(name)}:\n" + _parts(node, depth + 1)


def _parts(node: Node, depth: int) -> str:
    if isinstance(node, Mapping):
        return "".join(_block(key.text, value, depth) for key, value in node.entries)
    indent = "  " * depth
    assert isinstance(node, Sequence)  # noqa: S101  (a scalar has no parts)
    return "".join(f"{indent}- {_item(item, depth + 1)}" for item in node.items)


def _item(node: Node, depth: int) -> str:
    """Return one row of a list: on one line where it fits, else its entries below one another."""
    line = f"{_flow(node)}\n"
    if len(line) + 2 * depth <= WIDTH or not isinstance(node, Mapping):
        return line
    return _parts(node, depth).lstrip(" ")


def _flow(node: Node) -> str:
    if isinstance(node, Scalar):
        return text_of(node.text)
    if isinstance(node, Sequence):
        return f"[{', '.join(_flow(item) for item in node.items)}]"
    entries = sorted(node.entries, key=lambda entry: _rank(entry[0].text))
    return f"{{{', '.join(f'{text_of(key.text)}: {_flow(value)}' for key, value in entries)}}}"


def _rank(name: str) -> int:
    return FIRST.index(name) if name in FIRST else len(FIRST)


def text_of(text: str) -> str:
    """Return a text plain where every reader takes it for text, else in double quotation marks."""
    if _PLAIN.fullmatch(text) and not _NOT_PLAIN.fullmatch(text):
        return text
    return f'"{_ESCAPED.sub(lambda match: _escape(match[0]), text)}"'


def _escape(character: str) -> str:
    if character in '"\\':
        return "\\" + character
    code = ord(character)
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}"
