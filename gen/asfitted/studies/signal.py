"""The signal word of a caution, computed from how badly and how surely somebody is hurt who disregards it.

ANSI Z535.6 / ISO 3864-2: DANGER will, WARNING could kill or injure seriously; CAUTION could injure slightly; NOTICE is no
injury at all.
"""

from typing import Literal

Severity = Literal["death", "serious", "minor", "damage"]
Probability = Literal["will", "could"]
SignalWord = Literal["danger", "warning", "caution", "notice"]
#: order of severity
SIGNAL_WORDS: tuple[SignalWord, ...] = ("danger", "warning", "caution", "notice")


def signal_word(severity: Severity, probability: Probability) -> SignalWord:
    """Return the signal word for the worst harm that is credible, and how surely it follows."""
    if severity == "damage":
        return "notice"
    if severity == "minor":
        return "caution"
    return "danger" if probability == "will" else "warning"
