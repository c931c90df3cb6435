"""Kinds of equipment: what is said of each is complete, and every example is sound."""

import pytest
import yaml

from asfitted import words
from asfitted.description import forms
from asfitted.description.draft import Names
from asfitted.description.kinds import KINDS, Inline, field_names
from asfitted.description.kinds_table import kind_table, kinds_text
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


def test_in_line_devices_take_any_live_conductor():
    inline = [kind.model_construct() for kind in KINDS.values() if issubclass(kind, Inline)]
    for spec in inline:
        names = terminal_names("X", spec)
        assert {"X.in.plus", "X.out.L2", "X.in.N"} <= names
        assert not [name for name in names if name.endswith("PE")]


def test_the_catalogue_is_yaml_that_other_readers_take_the_same_way():
    for kind, example in words.catalogue("kinds")["examples"].items():
        assert yaml.safe_load(f"a: {example}")["a"] is not None, kind
