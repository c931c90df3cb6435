"""Signal words by severity and probability: ANSI Z535.6 (definitions as in manual_contents MC018, from memory)."""

import pytest

from asfitted.studies.signal import SIGNAL_WORDS, signal_word


@pytest.mark.parametrize(
    ("severity", "probability", "word"),
    [
        ("death", "will", "danger"),
        ("serious", "will", "danger"),
        ("death", "could", "warning"),
        ("serious", "could", "warning"),
        ("minor", "will", "caution"),
        ("minor", "could", "caution"),
        ("damage", "will", "notice"),
        ("damage", "could", "notice"),
    ],
)
def test_signal_word(severity, probability, word):
    assert signal_word(severity, probability) == word


@pytest.mark.parametrize("severity", ["death", "serious", "minor", "damage"])
def test_surer_is_never_milder(severity):
    will, could = (SIGNAL_WORDS.index(signal_word(severity, p)) for p in ("will", "could"))
    assert will <= could
