"""Small builds for the tests of the network."""

from pathlib import Path

from asfitted.description.load import load_text
from asfitted.network.build import build
from asfitted.network.model import Network

SOUND = (Path(__file__).resolve().parents[1] / "description" / "faulty" / "sound.yaml").read_text(
    encoding="utf-8"
)

HEAD = """
asfitted: 1
build: {title: T, reference: T-1, setting: cabin, use: lived in, rules: IEC 60364, ambient: 30 °C,
        lowest temperature: 0 °C}
revisions: {1: "2026-03-02, builder, first issue"}
defaults: {RCBO: B 2P 30 mA type A 6 kA, ac cable: 2.5 mm², dc cable: 4 mm², earth cable: 6 mm²}
"""


def network_of(text: str) -> Network:
    loaded = load_text(text)
    assert [p.sentence("message") for p in loaded.problems] == []
    return build(loaded)


def sound_but(*edits: tuple[str, str]) -> Network:
    """Return the network of the sound description with some pieces of its text replaced."""
    text = SOUND
    for find, write in edits:
        assert text.count(find) == 1, find
        text = text.replace(find, write)
    return network_of(text)


TRAILER = """
defaults: {fuse T: 125 V dc 20 kA}
sources:
  tow: {dc supply: 12 V 25 A}
  house: {battery: lead-acid AGM 12 V 100 Ah}
  panels: {solar array: 200 W, open-circuit voltage: 40 V, short-circuit current: 6 A}
equipment:
  plug: {dc inlet: 25 A}
  controller: {solar controller: 100 V 15 A}
  frame: structure
runs:
  - plus: [tow, F60: fuse T 30 A, W60: 6 mm² 5 m, plug, W61: 6 mm² 4 m, F61: fuse T 30 A, W62: 6 mm² 0.3 m, house]
  - minus: [tow, W63: 6 mm² 5 m, plug, W64: 6 mm² 4 m, house]
  - minus: [house, W65: 6 mm² 1 m, frame]
  - dc: [panels, W70: 4 mm² 3 m, controller.array]
  - plus: [controller.battery, W71: 4 mm² 1 m, F71: fuse T 20 A, W72: 4 mm² 1 m, house]
  - minus: [controller.battery, W73: 4 mm² 1 m, house]
"""
HEAD_WITHOUT_DEFAULTS = HEAD[: HEAD.index("defaults:")]

LINK = """
sources:
  alternator: {alternator: 14 V 90 A}
  starter: {battery: lead-acid AGM 12 V 90 Ah, use: starter}
  house: {battery: lead-acid AGM 12 V 200 Ah}
equipment:
  relay: {contactor: 100 A 1P, closed when: alternator running, contacts: [plus]}
  frame: structure
runs:
  - plus: [alternator, W41: 25 mm² 1.5 m, starter]
  - minus: [alternator, W43: 25 mm² 0.5 m, frame]
  - minus: [starter, W42: 25 mm² 0.6 m, frame]
  - minus: [house, W44: 25 mm² 0.6 m, frame]
  - plus: [starter, F20: fuse T 80 A 125 V dc 20 kA, W47: 25 mm² 2 m, relay]
  - plus: [relay, W48: 25 mm² 2 m, F21: fuse T 80 A 125 V dc 20 kA, house]
"""


def trailer(*edits: tuple[str, str]) -> Network:
    """Return a trailer with a charge line, a house battery and an array, with some of its text replaced."""
    defaults = "fuse T: 125 V dc 20 kA, dc cable: 4 mm²}"
    return network_of(
        _edited(HEAD_WITHOUT_DEFAULTS + TRAILER.replace("fuse T: 125 V dc 20 kA}", defaults), edits)
    )


def linked(*edits: tuple[str, str]) -> Network:
    """Return a vehicle whose relay joins the house battery to the starter battery while the engine runs."""
    return network_of(_edited(HEAD + LINK, edits))


def _edited(text: str, edits: tuple[tuple[str, str], ...]) -> str:
    for find, write in edits:
        assert text.count(find) == 1, find
        text = text.replace(find, write)
    return text
