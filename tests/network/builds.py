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
