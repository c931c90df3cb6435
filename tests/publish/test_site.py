import json
import re
from dataclasses import replace
from pathlib import Path

import yaml

from asfitted.publish import Published, publish, write_sources
from asfitted.publish.markdown_tree import parse_html

from .sample import publication


def test_the_sources_are_plain_markdown_that_any_generator_reads(tmp_path: Path) -> None:
    base = publication(0)
    write_sources(base, tmp_path)
    settings = yaml.safe_load((tmp_path / "mkdocs.yml").read_text(encoding="utf-8"))
    assert [*settings["plugins"]] == ["search", "offline"]
    assert settings["theme"]["font"] is False
    assert settings["use_directory_urls"] is False
    assert set(settings["validation"].values()) == {"warn"}
    assert "hooks" not in settings
    assert "custom_dir" not in settings["theme"]
    source = (tmp_path / "pages" / "circuits.md").read_text(encoding="utf-8")
    assert base.pages[1].markdown.strip() in source


def test_every_page_tells_what_it_belongs_to(published: Published) -> None:
    for path in published.paths["site"].parent.glob("*.html"):
        text = " ".join(parse_html(path.read_text(encoding="utf-8")).text().split())
        identity = "PL-1 · Revision 3 · 2026-05-12 · Fingerprint 3f9a2c41d07b · Owner’s edition"
        assert text.count(identity) == 2  # above the heading and in the foot
        assert "DRAFT" not in text


def test_a_draft_says_so_on_every_page(out: Path) -> None:
    result = publish(replace(publication(0), draft=True), out, lambda _: None)
    pages = sorted(result.paths["site"].parent.glob("*.html"))
    assert len(pages) == 3
    for path in pages:
        notices = [
            found
            for found in parse_html(path.read_text(encoding="utf-8")).walk()
            if "draft" in found.classes and found.attributes.get("role") == "note"
        ]
        assert len(notices) == 1


def test_only_local_addresses_are_fetched(published: Published) -> None:
    site = published.paths["site"].parent
    for path in site.glob("*.html"):
        for found in parse_html(path.read_text(encoding="utf-8")).walk():
            if found.tag in {"script", "link", "img", "iframe"}:
                address = found.attributes.get("src") or found.attributes.get("href") or ""
                assert not re.match(r"[a-z]+:|//|/", address), address
    styles = (site / "look" / "site.css").read_text(encoding="utf-8")
    assert not re.findall(r"url\(\"?(?!data:)[a-z]+:", styles)


def test_a_picture_opens_alone_and_is_told_in_words(published: Published) -> None:
    root = parse_html(published.paths["site"].read_text(encoding="utf-8"))
    link = next(found for found in root.walk() if "picture" in found.classes)
    assert link.attributes["href"] == "figures/sheet-1.svg"
    assert link.elements[0].attributes["alt"] == "Single-line figure 1"
    details = next(found for found in root.walk() if found.tag == "details")
    assert "Inlet to Q1 by W1, 25 m." in details.text()


def test_the_search_index_is_there_for_folder_and_server(published: Published) -> None:
    search = published.paths["site"].parent / "search"
    index = json.loads((search / "search_index.json").read_text(encoding="utf-8"))
    assert any("reading desk" in entry["text"] for entry in index["docs"])
    assert not any("Fingerprint" in entry["text"] for entry in index["docs"])
    assert (search / "search_index.js").read_text(encoding="utf-8").startswith("var __index = {")


def test_what_was_counted(published: Published) -> None:
    assert published.counts["pages"] == 5
    assert published.counts["figures"] == 3
    assert published.counts["links"] > 100
    assert all(path.is_file() for path in published.paths.values())
    assert published.paths["record"].read_bytes() == b'{"format": 1}\n'
