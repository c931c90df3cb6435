"""The chapters of every edition: complete, escaped, and private where they must be."""

import json

import pytest
from tests.studies.builds import EXAMPLE, studied, varied

from asfitted import words
from asfitted.chapters.book import Book
from asfitted.chapters.editions import holds
from asfitted.chapters.pages import CHAPTERS, pages
from asfitted.chapters.record import record
from asfitted.description.load import load_text
from asfitted.description.results import load_results
from asfitted.pipeline import fingerprint
from asfitted.studies.study import study

EDITIONS = ("owner", "inspector", "public")


def text_of(build, edition="owner") -> str:
    book = Book(build, edition, bool(build.barred), (), {})
    return "\n".join(page.markdown for page in pages(book))


@pytest.mark.parametrize("edition", EDITIONS)
def test_every_chapter_has_a_page(edition):
    book = Book(studied(), edition, False, (), {})
    # the build of the tests was never a matter of choice
    assert [page.id for page in pages(book)] == [
        name for name in CHAPTERS if name != "decisions" and holds(edition, name)
    ]
    assert all(page.markdown.lstrip().startswith("# ") for page in pages(book))


@pytest.mark.parametrize("edition", EDITIONS)
def test_every_circuit_device_and_cable_is_named(edition):
    build = studied()
    text = text_of(build, edition)
    for id_ in (*build.network.items, *build.network.cables):
        assert id_.replace("_", " ") in text, f"{id_} is missing from the {edition}'s edition"


CANARY = "Zqx7Canary"


def test_private_entries_stay_out_of_the_public_edition():
    text = varied(
        ('(the builder)"', f'{CANARY}1"'),
        ('registration: "(on the plate)"', f'registration: "{CANARY}2"'),
        (
            "  body: structure",
            f'  body: {{kind: structure, private: {{serial: "{CANARY}3"}}}}',
        ),
    )
    build = study(load_text(text))
    public = text_of(build, "public") + json.dumps(
        record(build, fingerprint(build.loaded)), ensure_ascii=False
    )
    assert CANARY not in public
    owner = text_of(build, "owner")
    for number in (1, 2, 3):
        assert f"{CANARY}{number}" in owner


def test_fingerprint_ignores_comments_and_private_entries_only():
    base = fingerprint(load_text(varied()))
    assert fingerprint(load_text(varied() + "\n# a remark\n")) == base
    assert fingerprint(load_text(varied(('(the builder)"', 'somebody else"')))) == base
    assert fingerprint(load_text(varied(("W10: 7 m in", "W10: 8 m in")))) != base


def test_text_of_a_stranger_is_shown_as_text():
    hostile = "<script>alert(1)</script> {{ 7*7 }} [x](javascript:y) #read(1) | * _"
    build = study(load_text(varied(("place: reading desk,", f'place: "{hostile}",'))))
    text = text_of(build)
    assert "<script>" not in text
    assert "](javascript" not in text
    assert "&#60;script&#62;" in text


def test_draft_says_so_and_names_the_finding():
    build = studied(
        (
            "neutral bond: {kind: fixed, lands on: own earth terminal, allowed by maker: data sheet}",
            "neutral bond: {kind: none}",
        )
    )
    text = text_of(build)
    assert "This is a draft" in text
    assert "cleared by nothing" in text


def test_every_caution_names_hazard_consequence_and_avoidance():
    for code, entry in words.catalogue("cautions").items():
        if code == "then":
            continue
        assert entry["severity"] in ("death", "serious", "minor", "damage")
        assert entry["probability"] in ("will", "could")
        assert {"title", "hazard", "consequence", "avoidance"} <= set(entry), code


def test_danger_is_used_sparingly():
    """ANSI Z535.6: DANGER only for what will kill; a book in which everything is danger has none."""
    text = text_of(studied())
    assert 1 <= text.count('!!! danger "DANGER"') / 2 <= 4  # each stands on the first page and under cautions


def test_record_holds_what_other_programs_need():
    build = studied()
    found = json.loads(json.dumps(record(build, "f" * 64)))
    assert found["format"] == 1
    assert [state["name"] for state in found["states"]] == [state.name for state in build.states]
    assert {cable["id"] for cable in found["cables"]} == set(build.network.cables)
    w13 = next(cable for cable in found["cables"] if cable["id"] == "W13")
    assert w13["design_current_a"] == pytest.approx(1000 / 230)
    assert (w13["from"], w13["to"], w13["size_mm2"], w13["device"]) == ("F2", "tea_corner", 2.5, "F2")
    road = next(state for state in found["states"] if state["name"] == "on the road")
    assert [(b["at"], b["effective"]) for b in road["bonds"]] == [("inverter", True)]
    assert all(outlet["can_trip"] for outlet in road["residual_protection"])


def test_claims_without_proof_are_listed():
    build = studied()
    unproved = {claim.item for claim in build.sizing.claims if not claim.proved}
    assert unproved
    page = text_of(build).split("{#claims}")[1].split("\n## ")[0]
    for id_ in unproved:
        assert id_.replace("_", " ") in page
    listed = record(build, fingerprint(build.loaded))["claims"]
    assert {claim["equipment"] for claim in listed if not claim["proved"]} == unproved


def test_a_chosen_bonding_conductor_has_its_size_everywhere():
    text = varied(("W8: 1 m", "W8: auto planned 1 m"), ("W9: 0.8 m", "W9: auto planned 0.8 m"))
    build = study(load_text(text))
    # 125 A / 1.35 asks 92.6 A of the case conductor; 25 mm² carries 112 × 0.87 A
    assert build.sizing.sizes["W8"].designation == "25 mm²"
    assert "case-conductor-dc" not in {finding.code for finding in build.findings}
    rows = {c["id"]: c for c in record(build, fingerprint(build.loaded))["cables"]}
    for id_ in ("W8", "W9"):
        size = build.sizing.sizes[id_]
        assert (rows[id_]["size_mm2"], rows[id_]["automatic"]) == (size.mm2, True)
        schedule = text_of(build).split("{#cables}")[1].split("\n## ")[0]
        row = next(line for line in schedule.splitlines() if f">{id_}</span>" in line)
        assert size.designation in row.replace("\u00a0", " ")


def test_who_tested_with_which_instrument_stays_out_of_the_public_edition():
    folder = EXAMPLE.parent
    build = study(load_text(varied(), EXAMPLE), load_results(folder))
    public = text_of(build, "public") + json.dumps(record(build, "f" * 64), ensure_ascii=False)
    record_edition = text_of(build, "inspector")
    for private in ("LR&#45;0417", "the builder&#44; with a qualified electrician"):
        assert private not in public
    assert "LR-0417" not in public
    assert "LR&#45;0417" in record_edition
    assert "0&#46;31 ohm" in public
