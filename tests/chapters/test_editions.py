"""Which edition holds what: said once, asked for in templates, and true of the pages."""

import re
from html import unescape
from typing import get_args

import pytest
from tests.studies.builds import studied

from asfitted.chapters.book import Book
from asfitted.chapters.editions import CONTENTS, holds
from asfitted.chapters.pages import CHAPTERS, pages
from asfitted.description.audience import Edition
from asfitted.resources import site_src

EDITIONS = get_args(Edition)


def asked_for() -> set[str]:
    """Return every part that a template or a chapter asks for."""
    templates = [path.read_text(encoding="utf-8") for path in (site_src() / "pages").glob("*.jinja")]
    modules = site_src().parent / "gen" / "asfitted"
    texts = [*templates, *(path.read_text(encoding="utf-8") for path in modules.rglob("*.py"))]
    return {part for text in texts for part in re.findall(r'holds\([a-z.]+, "([^"]+)"\)', text)}


def test_every_part_that_is_asked_for_is_declared_and_the_other_way_round():
    parts = {part for part in CONTENTS if "/" in part}
    assert asked_for() - CONTENTS.keys() == set()
    assert parts - asked_for() == set()
    assert {part.split("/")[0] for part in CONTENTS} == CHAPTERS.keys()


def test_a_part_is_only_where_its_chapter_is():
    for part, editions in CONTENTS.items():
        assert editions <= CONTENTS[part.split("/")[0]], part


def test_the_inspector_reads_all():
    missing = {part for part in CONTENTS if not holds("inspector", part)}
    assert missing == set()


def page(edition: Edition, name: str) -> str:
    return next(p.markdown for p in pages(Book(studied(), edition, False, (), {})) if p.id == name)


def test_the_owner_reads_no_workings_and_no_test_plan():
    held = {p.id for p in pages(Book(studied(), "owner", False, (), {}))}
    assert held.isdisjoint({"workings", "energy-workings", "tests", "worksheet"})
    assert {"states", "energy", "faults", "transfer", "circuits", "devices", "cautions", "parts"} <= held


@pytest.mark.parametrize("edition", EDITIONS)
def test_no_edition_hides_a_size_a_length_or_a_rating(edition):
    build = studied()
    circuits = unescape(page(edition, "circuits")).replace("\u00a0", " ")
    for cable in build.network.cables.values():
        row = next(line for line in circuits.splitlines() if f">{cable.id}</span>" in line)
        assert f"{cable.length_m:g} m" in row
        assert str(cable.size.designation).removesuffix(" mm²") in row
    devices = unescape(page(edition, "devices")).replace("\u00a0", " ")
    for result in build.sizing.devices.values():
        row = next(line for line in devices.splitlines() if f"[{result.id}]" in line)
        assert f"{result.rating_a:g} A" in row
