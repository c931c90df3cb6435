"""The procedures as printed: no step without a sight, no empty place, cautions where the act is."""

import html
import re
from functools import cache

import pytest
from tests.studies.procedures.builds import BUILDS, built, changed, of

from asfitted import words
from asfitted.chapters import after_trip, card, emergency, operation
from asfitted.chapters.book import Book
from asfitted.chapters.cautions import at_act, at_step, cautions
from asfitted.chapters.template import render
from asfitted.studies.procedures.after_trip import ends

EXAMPLES = ("paper_lantern", "slow_heron", "tin_kiln")


@cache
def book(name: str, edition: str = "owner") -> Book:
    return Book(built(name), edition, False, (), {})  # type: ignore[arg-type]


@cache
def page(name: str, chapter: str) -> str:
    module = {"operation": operation, "after-trip": after_trip, "card": card}[chapter]
    context = {"edition": "owner", "draft": False, "plugs": True} | module.context(book(name))
    return html.unescape(render(chapter, context)).replace("\u00a0", " ")


def every_step(name):
    found = of(name)
    for procedure in (found.emergency, *found.procedures):
        yield from ((procedure, step) for step in (*procedure.steps, *procedure.skilled))
    yield from ((None, step) for step in found.tree.skilled)


@pytest.mark.parametrize("name", BUILDS)
def test_every_step_has_an_act_a_sight_and_a_way_on(name):
    for _, step in every_step(name):
        (row,) = operation.steps(book(name), (step,), [])
        for part in ("do", "see", "otherwise"):
            text = re.sub(r"\[([^]]*)\]\([^)]*\)\{: .designation \}", r"\1", html.unescape(str(row[part])))
            assert len(text) > 4, (step.code, part)
            assert text.endswith((".", ".”")), (step.code, part, text)
            assert not re.search(r"\{\w*\}|  |\bNone\b| –[,.]|“”|: \.|, ,", text), (step.code, part, text)
            assert "∞" not in text


@pytest.mark.parametrize("name", BUILDS)
def test_what_is_to_be_done_if_not_is_there_in_this_build(name):
    chapters = set(words.catalogue("chapters"))
    for procedure, step in every_step(name):
        target = words.catalogue("procedure_steps")[step.code].get("go", "")
        if target.startswith("page:"):
            assert target.removeprefix("page:") in chapters | {"who"}
        elif target:
            assert of(name).has(target), (procedure and procedure.code, step.code, target)


def test_every_step_is_one_act():
    """A sentence or two, no list; what comes after belongs to the next step."""
    for code, entry in words.catalogue("procedure_steps").items():
        assert set(entry) in ({"do", "see", "otherwise"}, {"do", "see", "otherwise", "go"}), code
        for part in ("do", "see", "otherwise"):
            plain = re.sub(r"\{\w+\}", "X", entry[part])
            assert len(plain) < 190, (code, part)
            assert all(len(s.split()) <= 24 for s in re.split(r"[.:;]", plain)), (code, part)


@pytest.mark.parametrize("name", EXAMPLES)
def test_each_part_that_is_acted_on_has_its_place(name):
    """At night nobody looks for a board: where the description says where a thing is, the step says it."""
    network = built(name).network
    for _, step in every_step(name):
        (row,) = operation.steps(book(name), (step,), [])
        placed = [id_ for id_ in step.at if network.items[id_].spec.place or network.items[id_].board]
        assert bool(row["places"]) >= bool(placed), step.code


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_caution_stands_at_an_act_of_this_build(name):
    said, found = cautions(book(name)), of(name)
    acts = {p.code for p in found.procedures} | {"after-trip", "emergency"}
    placed = {row["code"] for act in acts for row in at_act(said, act)}
    placed |= {row["code"] for _, step in every_step(name) for row in at_step(said, step.code)}
    assert {row["code"] for row in said} == placed


def test_a_caution_stands_before_the_act():
    text = page("tin_kiln", "operation").split("{#do-generator}")[1].split("\n## ")[0]
    assert text.index("carbon monoxide") < text.index("**Start [generator]")
    assert text.index("**DANGER:**") < text.index("**Start [generator]")
    assert (
        "carbon monoxide" not in page("paper_lantern", "operation").split("{#do-charge}")[1].split("\n## ")[0]
    )


def test_a_part_that_is_not_there_has_no_caution():
    said = {row["code"] for row in cautions(book("paper_lantern"))}
    assert "exhaust" not in said
    assert "swimming" not in said
    assert {"exhaust"} <= {row["code"] for row in cautions(book("tin_kiln"))}
    assert {"swimming"} <= {row["code"] for row in cautions(book("slow_heron"))}
    assert "two-supplies" not in {row["code"] for row in cautions(book("house without inverter"))}


def test_live_pins_make_it_a_danger():
    """One pole of the changeover stays closed: the inverter's neutral stands at the pins."""
    study = changed("paper_lantern", ("    transfer switch: 25 A 2P\n", "    transfer switch: 25 A 1P\n"))
    raised = {finding.code for finding in study.found}
    assert raised & {"live-pins", "neutral-at-pins"}
    level = {row["code"]: row["level"] for row in cautions(Book(study, "owner", True, (), {}))}
    assert level["inlet-pins"] == "danger"
    assert {row["code"]: row["level"] for row in cautions(book("paper_lantern"))}["inlet-pins"] == "warning"


@pytest.mark.parametrize("name", EXAMPLES)
def test_no_alert_sign_and_no_injury_with_a_notice(name):
    """ANSI Z535.4: the alert symbol goes with personal injury only."""
    for row in cautions(book(name)):
        if row["level"] == "notice":
            assert row["signs"] == []


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_tree_is_printed_whole(name):
    text, tree = page(name, "after-trip"), of(name).tree
    for question in tree.questions:
        assert f'id="trip-{question.code}">{tree.order[question.code]}.</span>' in text
    for number in re.findall(r"\[go to (\d+)\]\(#trip-[a-z-]+\)", text):
        assert 1 < int(number) <= len(tree.questions)
    for serves in (*tree.residual, *tree.breakers, *tree.fuses):
        assert serves.device.replace("_", " ") in text


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_emergency_on_the_card_is_that_of_the_first_page(name):
    shown = [row["do"] for row in emergency.emergency(book(name))["emergency"]]
    assert [row["do"] for row in card.context(book(name))["emergency"]] == shown


def test_words_and_codes_are_the_same_set():
    """Every sentence is asked for somewhere, and whatever is asked for has its sentence."""
    from tests.test_words import code_text

    source = code_text("studies/procedures")
    said = words.catalogue("procedure_steps")
    for code in said:
        assert f'"{code}"' in source, f"step {code} is never asked for"
    for code in set(re.findall(r'Step\(\s*"([a-z-]+)"', source)):
        assert code in said, code
    trip = words.catalogue("after_trip")
    for part in ("questions", "answers"):
        for code in trip[part]:
            assert f'"{code}"' in source, f"{part} {code}"
    assert set(trip["ends"]) == set(ends())
    assert set(re.findall(r'Answer\(\s*"([a-z-]+)"', source)) <= set(trip["answers"])
    procedures = words.catalogue("procedures")
    for part in ("procedures", "symptoms"):
        for code in procedures[part]:
            assert f'"{code}"' in source, f"{part} {code}"


def test_every_caution_names_acts_steps_and_signs_that_exist():
    steps, known = words.catalogue("procedure_steps"), words.catalogue("procedures")["procedures"]
    signs = words.catalogue("signs")["meanings"]
    for code, entry in words.catalogue("cautions").items():
        if code == "then":
            continue
        assert set(entry["acts"]) <= set(known), code
        assert set(entry["steps"]) <= set(steps), code
        assert entry["acts"] or entry["steps"], code
        assert set(entry["signs"]) <= set(signs), code
