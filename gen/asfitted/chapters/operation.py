"""Chapter: operation. Who may do what, what people notice, and every procedure of this build step by step."""

from typing import Any

from markupsafe import Markup

from asfitted import words
from asfitted.chapters.book import Book
from asfitted.chapters.cautions import at_act, at_step, cautions
from asfitted.chapters.editions import holds
from asfitted.chapters.sentences import filled, places, sentence
from asfitted.escape import escape
from asfitted.numbers import quantity
from asfitted.studies.commissioning.live import NEUTRAL_V, SUPPLY_BAND
from asfitted.studies.demand_ac import ac_voltage_v
from asfitted.studies.procedures.model import Procedure, Step
from asfitted.studies.procedures.site_check import SiteCheck, SiteRow, site_checks

#: procedures that stand on a page of their own
ELSEWHERE = {"emergency": "index.md#emergency", "after-trip": "after-trip.md#after-trip"}


def context(book: Book) -> dict[str, Any]:
    """Return who may do what, the symptoms, and the procedures in their order."""
    found = book.procedures
    said = cautions(book)
    return {
        "who": [
            words.catalogue("procedures")["who"][who] | {"does": _does(book, who)}
            for who in ("ordinary", "instructed", "skilled")
        ],
        "symptoms": [
            {"said": sentence(book, "procedures", f"symptoms.{s.code}", s.fields), "to": link(book, s.to)}
            for s in found.symptoms
        ],
        "procedures": [procedure(book, each, said) for each in found.procedures],
    }


def _does(book: Book, who: str) -> Markup:
    said = words.catalogue("procedures")["procedures"]
    codes = dict.fromkeys(p.key for p in book.procedures.procedures if said[p.code]["who"] == who)
    return Markup(", ").join(link(book, key) for key in codes)


def title(book: Book, found: Procedure) -> Markup:
    """Return the title of a procedure, with the inlet or the set that it is about where there are several."""
    made = sentence(book, "procedures", f"procedures.{found.code}.title", _plain(book, found))
    alike = [p for p in book.procedures.procedures if p.code == found.code]
    if (
        len(alike) > 1
        and found.subject
        and "{" not in words.raw("procedures", f"procedures.{found.code}.title")
    ):
        made += Markup(" ({})").format(Markup(escape(book.study.network.items[found.subject].name)))  # noqa: S704
    return made


def _plain(book: Book, found: Procedure) -> dict[str, object]:
    """Return the fields of a title with names instead of links: a heading holds none."""
    items = book.study.network.items
    return {
        name: ", ".join(items[id_].name for id_ in value.ids) if hasattr(value, "ids") else value
        for name, value in found.fields.items()
    }


def anchor(key: str) -> Markup:
    """Return the anchor of a procedure; keys are ours."""
    return Markup(f"do-{key}")  # noqa: S704


def link(book: Book, to: str) -> Markup:
    """Return a link to a procedure, or to a chapter written as `page:name`; nothing for one of another edition."""
    if to.startswith("page:"):
        page = to.removeprefix("page:")
        if page != "who" and not holds(book.edition, page):
            return Markup()
        target = "operation.md#who" if page == "who" else f"{page}.md#{page}"
        name = words.text("procedures", "who title") if page == "who" else words.text("chapters", page)
        return Markup(f"[{escape(name)}]({target})")  # noqa: S704  (escaped)
    if to in ELSEWHERE:
        name = words.raw("procedures", f"procedures.{to}.title")
        return Markup(f"[{escape(name)}]({ELSEWHERE[to]})")  # noqa: S704  (escaped)
    found = next(p for p in book.procedures.procedures if to in (p.key, p.code))
    return Markup("[{}](operation.md#{})").format(title(book, found), anchor(found.key))


def procedure(book: Book, found: Procedure, said: list[dict[str, Any]]) -> dict[str, Any]:
    """Return a procedure with its states, cautions and steps."""
    entry = words.catalogue("procedures")["procedures"][found.code]
    checks = (
        {check.supply: check for check in site_checks(book.study)} if found.code == "unknown-supply" else {}
    )
    supplies = [check for id_, check in checks.items() if any(id_ in step.at for step in found.steps)]
    return {
        "anchor": anchor(found.key),
        "title": title(book, found),
        "when": sentence(book, "procedures", f"procedures.{found.code}.when", found.fields),
        "who": words.catalogue("procedures")["who"][entry["who"]]["name"],
        "skilled_only": entry["who"] == "skilled",
        "begins": [book.state(id_) for id_ in found.begins],
        "ends": [book.state(id_) for id_ in found.ends if found.ends != found.begins],
        "cautions": at_act(said, found.code),
        "steps": steps(book, found.steps, said),
        "skilled": steps(book, found.skilled, said),
        "check": check(book, supplies[0]) if supplies else None,
    }


def steps(book: Book, found: tuple[Step, ...], said: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return the steps of a procedure; a place is said again only where another part is acted on."""
    rows: list[dict[str, Any]] = []
    before: tuple[str, ...] = ()
    for step in found:
        entry = words.catalogue("procedure_steps")[step.code]
        rows.append(
            {
                "do": filled(book, entry["do"], step.fields),
                "see": filled(book, entry["see"], step.fields),
                "otherwise": filled(book, entry["otherwise"], step.fields),
                "go": link(book, entry["go"]) if "go" in entry else None,
                "places": places(book, step.at) if step.at != before else [],
                "cautions": at_step(said, step.code),
            }
        )
        before = step.at
    return rows


def check(book: Book, found: SiteCheck) -> dict[str, Any]:
    """Return the two tables of the check of a supply."""
    volts = ac_voltage_v(book.study.network, found.supply)
    low, high = (quantity(share * volts, "V") for share in SUPPLY_BAND)
    limits = {"low": low, "high": high, "neutral": quantity(NEUTRAL_V, "V")}
    said = words.catalogue("procedures")
    return {
        "earthings": [
            {"said": words.text("procedures", f"earthing.{row.kind}")} | _verdict(row)
            for row in found.earthings
        ],
        "readings": [
            {
                "readings": [reading.format(**limits) for reading in said["readings"][row.kind]],
                "said": words.text("procedures", f"meanings.{row.kind}"),
            }
            | _verdict(row)
            for row in found.readings
        ],
    }


def _verdict(row: SiteRow) -> dict[str, Any]:
    hazard = words.text("findings_faults", f"{row.hazard}.title") if row.hazard else ""
    return {
        "use": row.use,
        "verdict": words.text("procedures", f"verdicts.{row.use}"),
        "because": words.text("procedures", f"because.{row.because}", hazard=hazard),
    }
