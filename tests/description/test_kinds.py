"""Kinds of equipment: what is said of each is complete, and every example is sound."""

import pytest
import yaml

from asfitted import words
from asfitted.description import forms, grammars
from asfitted.description.draft import Names
from asfitted.description.kinds import KINDS, Inline, LoadItem, field_names
from asfitted.description.kinds_table import kind_table, kinds_text
from asfitted.description.load import load_text
from asfitted.description.reader import compose
from asfitted.description.references import terminal_names
from asfitted.description.schema import Description
from asfitted.description.tree import plain


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_and_every_field_of_it_has_a_line(kind: str):
    table = kind_table(kind)
    assert table.meaning.endswith(".")
    assert [row.name for row in table.fields if not row.meaning.endswith((".", "”."))] == []
    assert {row.name for row in table.fields} == set(field_names(KINDS[kind]))


def test_nothing_is_explained_that_is_not_there():
    catalogue = words.catalogue("kinds")
    fields = {name for kind in KINDS.values() for name in field_names(kind)}
    assert set(catalogue["fields"]) <= fields
    assert set(catalogue["kinds"]) == set(catalogue["examples"]) == set(KINDS)
    for kind, own in catalogue["own"].items():
        assert set(own) <= set(field_names(KINDS[kind]))
    sections = {info.alias or name for name, info in Description.model_fields.items()}
    assert set(catalogue["sections"]) == sections | {"defaults", "sources", "runs", "circuits"}


@pytest.mark.parametrize("kind", KINDS)
def test_the_example_of_every_kind_is_sound(kind: str):
    example = words.catalogue("kinds")["examples"][kind]
    tree, _ = compose(f"X1: {example}\n")
    key, node = tree.entries[0]
    draft, problems = forms.equipment(key, node, Names(boards=("AC board",)))
    assert problems == []
    assert kind == KINDS[kind].model_validate(plain(draft.node())).KIND


@pytest.mark.parametrize("kind", KINDS)
def test_terminals_that_must_be_connected_are_terminals(kind: str):
    model = KINDS[kind]
    known = terminal_names("X", model.model_construct())
    assert {f"X.{name}" for name in model.REQUIRED} <= known
    if model.THROUGH is not None:
        assert set(model.THROUGH) <= set(model.PORTS)


def test_the_table_as_text():
    text = kinds_text("transfer switch")
    assert text is not None
    assert "source 1  L, N" in text
    assert "rest position" in text
    assert "must be given" in text
    assert kinds_text("toaster") is None
    everything = kinds_text()
    assert everything is not None
    assert all(f"  {kind} " in everything for kind in KINDS)


@pytest.mark.parametrize("kind", KINDS)
def test_the_example_of_every_field_can_be_written(kind: str):
    for row in kind_table(kind).fields:
        if row.example.startswith("{kind: none |"):
            continue
        first = row.example if row.example.startswith(("{", "[")) else f"'{row.example.split(' | ')[0]}'"
        text = f"asfitted: 1\nequipment:\n  X1: {{kind: {kind}, {row.name}: {first}}}\n"
        of_field = [p for p in load_text(text).problems if f"“{row.name}” of “X1”" in str(p.fields)]
        assert [p.sentence("message") for p in of_field] == []
        wrong = text.replace(first, "[[]]")
        assert [p for p in load_text(wrong).problems if f"“{row.name}” of “X1”" in str(p.fields)], row


def test_what_can_be_written_in_a_cable_a_circuit_and_an_appliance():
    rows = words.catalogue("kinds")["rows"]
    grammar = {"cable": grammars.cable(Names()), "appliance": LoadItem.TOKENS}
    for name, tokens in grammar.items():
        assert {token.fields[0][0] for token in tokens} == set(rows[name]["words"])
    text = kinds_text("cable")
    assert text is not None
    for word in ("3G2.5", "12 AWG", "at least 4 mm²", "free air", "L N", "auto"):
        assert word in text
    assert "class I" in str(kinds_text("appliance"))
    assert "sockets: 4 × 16 A desk" in str(kinds_text("sockets"))
    assert "load: lamps" in str(kinds_text("load"))


@pytest.mark.parametrize(
    "row",
    [
        *words.catalogue("kinds")["in a circuit"].values(),
        words.catalogue("kinds")["rows"]["circuit"]["example"],
    ],
)
def test_the_examples_of_circuits_can_be_read(row: str):
    text = f"boards: {{A: {{}}}}\ncircuits:\n  A:\n    {row}\n"
    codes = {p.code for p in load_text(text).problems}
    # Nothing is wrong but that the rest of the build is not there.
    assert codes <= {"missing field", "fed by nothing", "nowhere to land", "no bar", "poles missing"}


def test_in_line_devices_take_any_live_conductor():
    inline = [kind.model_construct() for kind in KINDS.values() if issubclass(kind, Inline)]
    for spec in inline:
        names = terminal_names("X", spec)
        assert {"X.in.plus", "X.out.L2", "X.in.N"} <= names
        assert not [name for name in names if name.endswith("PE")]


def test_the_catalogue_is_yaml_that_other_readers_take_the_same_way():
    for kind, example in words.catalogue("kinds")["examples"].items():
        assert yaml.safe_load(f"a: {example}")["a"] is not None, kind
