"""Words of a short form: any order, longest first, each at its column."""

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from asfitted.description import forms, grammars
from asfitted.description.draft import Draft, Names
from asfitted.description.kinds import KINDS
from asfitted.description.marks import Mark
from asfitted.description.tokens import Read, Unread, read
from asfitted.description.tree import Scalar

NAMES = Names(("AC board",), ("wall duct",), ("roof void",), ("battery cable",))


def fields_of(text: str, grammar) -> dict[str, str]:
    found = read(text, grammar)
    assert not [each for each in found if isinstance(each, Unread)], found
    return {given.field: given.value for each in found if isinstance(each, Read) for given in each.given}


WORDS = {
    "cable": [
        "2.5 mm²",
        "7 m",
        "PVC 70 °C",
        "clipped",
        "class 5",
        "planned",
        "in wall duct",
        "through roof void",
        "L N",
    ],
    "RCBO": ["C16", "2P", "30 mA", "type A", "6 kA", "installed", "in AC board", "230 V ac"],
    "ac supply": ["230 V", "50 Hz", "16 A", "TN-C-S", "planned"],
    "battery": ["LiFePO4", "25.6 V", "200 Ah"],
    "fuse": ["bolt-down", "150 A", "32 V dc", "2 kA"],
    "inverter": ["24 V", "230 V ac", "50 Hz", "1.6 kW"],
}


def grammar_of(subject: str):
    return grammars.cable(NAMES) if subject == "cable" else grammars.equipment(KINDS[subject], NAMES)


@pytest.mark.parametrize("subject", WORDS)
@settings(max_examples=30, deadline=None)
@given(order=st.randoms(use_true_random=False))
def test_the_order_of_the_words_is_free(subject: str, order: random.Random):
    words = list(WORDS[subject])
    expected = fields_of(" ".join(words), grammar_of(subject))
    order.shuffle(words)
    assert fields_of(" ".join(words), grammar_of(subject)) == expected
    assert fields_of(", ".join(words), grammar_of(subject)) == expected


def test_what_the_words_mean():
    assert fields_of("C16 2P 30 mA type A 6 kA", grammar_of("RCBO")) == {
        "curve": "C", "rating": "16 A", "poles": "2P", "residual current": "30 mA", "residual type": "A",
        "breaking capacity": "6 kA",
    }  # fmt: skip
    assert fields_of("at least 4 mm² PE 1.5 mm² 7 m", grammar_of("cable")) == {
        "size": "auto", "at least": "4 mm²", "PE size": "1.5 mm²", "length": "7 m",
    }  # fmt: skip
    assert fields_of("3 × 2.5 mm² 7 m", grammar_of("cable")) == {
        "count": "3",
        "size": "2.5 mm²",
        "length": "7 m",
    }
    assert fields_of("1P+N", grammar_of("RCBO")) == {"poles": "1P+N"}
    assert fields_of("12 V to 24 V 15 A", grammar_of("DC-DC charger"))["input voltage"] == "12 V"


def test_each_field_knows_where_its_own_words_begin():
    (found,) = read("at least 4 mm²", grammar_of("cable"))
    assert isinstance(found, Read)
    assert [(g.field, g.offset) for g in found.given] == [("size", 0), ("at least", 9)]


@pytest.mark.parametrize(
    ("text", "unread"),
    [
        ("7 m clippd", [("clippd", 4)]),
        ("7 m singel layer 2.5 mm²", [("singel layer", 4)]),
        ("7 kW 2.5 mm²", [("7 kW", 0)]),
        ("wood 2,5 mm² 7 m", [("wood", 0), ("2,5 mm²", 5)]),
        ("7 m, foo, bar", [("foo", 5), ("bar", 10)]),
    ],
)
def test_words_that_mean_nothing_are_returned_with_their_place(text: str, unread: list):
    found = read(text, grammar_of("cable"))
    assert [(each.text, each.offset) for each in found if isinstance(each, Unread)] == unread


@given(st.text(alphabet="27.,5 mA²VPNLdcRB× clipedin+-%°C", max_size=30))
def test_any_text_is_read_to_its_end(text: str):
    found = read(text, grammar_of("cable"))
    covered = "".join(each.text for each in found)
    assert covered.replace(" ", "").replace(",", "") == text.replace(" ", "").replace(",", "")


def test_a_word_given_twice_is_a_problem_at_the_second():
    draft = Draft(Scalar("W1", Mark(1, 1)))
    problems, _ = forms.read_tokens(Scalar("7 m 8 m", Mark(1, 5)), 0, grammar_of("cable"), draft, "cable")
    assert [(p.code, p.mark, p.fields["earlier"]) for p in problems] == [
        ("length said twice", Mark(1, 9), "7 m")
    ]
