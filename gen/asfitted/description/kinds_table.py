"""What `asfitted kinds` shows of each kind: terminals, fields, words of the short form, an example."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from pydantic.fields import FieldInfo

from asfitted import words
from asfitted.description import grammars
from asfitted.description.draft import Names
from asfitted.description.jsonschema import field_words, kind_words
from asfitted.description.kinds import KINDS, Equipment, Inline, LoadItem
from asfitted.description.models import field_example
from asfitted.description.tokens import Token


@dataclass(frozen=True)
class FieldRow:
    """One field: how it is written, what is taken if it is not given (empty if it must be), its meaning."""

    name: str
    example: str
    default: str
    meaning: str


@dataclass(frozen=True)
class KindTable:
    """All that can be said of a kind; `terminals` has (port, conductors) for each port, none for a bar."""

    kind: str
    meaning: str
    terminals: tuple[tuple[str, tuple[str, ...]], ...]
    through: tuple[str, str] | None
    fields: tuple[FieldRow, ...]
    tokens: tuple[tuple[str, tuple[str, ...]], ...]
    example: str


def kind_table(kind: str) -> KindTable:
    """Return the table of a kind; KeyError if there is no such kind."""
    model = KINDS[kind]
    return KindTable(
        kind=kind,
        meaning=kind_words(kind),
        terminals=tuple(item for item in model.PORTS.items() if item[1] != ("*",)),
        through=model.THROUGH,
        fields=tuple(_fields(model)),
        tokens=tuple(_shown(grammars.equipment(model, Names())).items()),
        example=str(words.catalogue("kinds")["examples"][kind]),
    )


def _fields(model: type[Equipment]) -> Iterator[FieldRow]:
    nothing = words.text("kinds", "labels.nothing")
    own_first = sorted(model.model_fields.items(), key=lambda item: item[0] in Equipment.model_fields)
    for name, info in own_first:
        alias = info.alias or name
        if alias == "kind":
            continue
        default = (
            "" if info.is_required() else str(info.default if info.default not in (None, ()) else nothing)
        )
        if info.default_factory is not None:
            default = nothing
        yield FieldRow(alias, _example(model.KIND, alias, info), default, field_words(model.KIND, alias))


def _example(kind: str, field: str, info: FieldInfo) -> str:
    """Return an example of a field, or its words; that of the catalogue before that of the quantity alone."""
    catalogue = words.catalogue("kinds")
    return str(
        catalogue["own examples"].get(kind, {}).get(field)
        or catalogue["field examples"].get(field)
        or field_example(info)
    )


def kinds_text(kind: str | None = None) -> str | None:
    """Return the table of a kind as text for the terminal, or all kinds; None if there is no such kind."""
    if kind is None:
        return _all_kinds()
    if kind in words.catalogue("kinds")["rows"]:
        return _row_text(kind)
    if kind not in KINDS:
        return None
    table = kind_table(kind)
    required = words.text("kinds", "labels.required")
    in_circuit = words.catalogue("kinds")["in a circuit"].get(kind)
    return "\n".join(
        [
            f"{table.kind}: {table.meaning}",
            "",
            f"{_label('example')}:  {table.example}",
            *([f"{_label('in a circuit')}:  {in_circuit}"] if in_circuit else []),
            "",
            f"{_label('terminals')}:",
            *_rows(_terminals(table)),
            "",
            f"{_label('words')}:",
            *_rows((name, ", ".join(shown)) for name, shown in table.tokens),
            "",
            f"{_label('fields')}:",
            *_rows((row.name, row.example, row.default or required, row.meaning) for row in table.fields),
            "",
        ]
    )


def _row_text(name: str) -> str:
    """Return what can be written in a cable, a circuit or an appliance."""
    row = words.catalogue("kinds")["rows"][name]
    shown = _shown({"cable": grammars.cable(Names()), "appliance": LoadItem.TOKENS}.get(name, ()))
    lines: list[tuple[str, str]] = []
    for group, meaning in row["words"].items():
        lines += [(group, ", ".join(shown[group])), ("", meaning)] if group in shown else [(group, meaning)]
    return "\n".join(
        [
            f"{name}: {row['meaning']}",
            "",
            f"{_label('example')}:  {row['example']}",
            "",
            f"{_label('words')}:",
            *_rows(iter(lines)),
            "",
        ]
    )


def _shown(grammar: Iterable[Token]) -> dict[str, tuple[str, ...]]:
    """Return what can be written for each field that the words of a grammar give."""
    shown: dict[str, tuple[str, ...]] = {}
    for token in grammar:
        name = token.fields[0][0]
        shown[name] = (*shown.get(name, ()), *token.shown)
    return shown


def _all_kinds() -> str:
    kinds = ((kind, kind_words(kind)) for kind in KINDS)
    others = ((name, row["meaning"]) for name, row in words.catalogue("kinds")["rows"].items())
    return "\n".join([_label("list"), "", *_rows(kinds), "", _label("rows"), "", *_rows(others), ""])


def _terminals(table: KindTable) -> Iterator[tuple[str, ...]]:
    if not table.terminals:
        yield (_label("bar"),)
    for port, conductors in table.terminals:
        is_inline = issubclass(KINDS[table.kind], Inline)
        yield port or table.kind, _label("any") if is_inline else ", ".join(conductors)
    if table.through is not None:
        into, out = table.through
        yield (words.text("kinds", "labels.passes", into=into, out=out),)


def _label(name: str) -> str:
    return words.text("kinds", f"labels.{name}")


def _rows(rows: Iterator[tuple[str, ...]]) -> list[str]:
    """Return rows of a table with aligned columns, indented; the last column is free."""
    table = list(rows)
    widths = [max(len(row[n]) for row in table if len(row) > n + 1) for n in range(max(map(len, table)) - 1)]
    return [
        (
            "  "
            + "  ".join(f"{cell:<{widths[n]}}" if n < len(row) - 1 else cell for n, cell in enumerate(row))
        ).rstrip()
        for row in table
    ]
