"""The whole way in one place: description, network, studies, figures, chapters, publication."""

from __future__ import annotations

import datetime
import json
from collections.abc import Callable
from itertools import chain
from pathlib import Path

from markupsafe import Markup

from asfitted.chapters.book import Book, Picture
from asfitted.chapters.editions import holds
from asfitted.chapters.pages import pages
from asfitted.chapters.record import record
from asfitted.chapters.signs import sign_assets
from asfitted.description.audience import Edition
from asfitted.description.fingerprint import fingerprint
from asfitted.description.load import load
from asfitted.description.results import load_results
from asfitted.figures.earthing import earthing, earthing_states
from asfitted.figures.energy_flow import energy_figures
from asfitted.figures.fault_path import fault_path
from asfitted.figures.figure import Figure
from asfitted.figures.layout import PAPERS
from asfitted.figures.location_plan import location_plan
from asfitted.figures.single_line import single_line
from asfitted.figures.state_figures import state_figures
from asfitted.figures.time_current import time_current
from asfitted.figures.time_line import time_line
from asfitted.figures.wiring import wiring
from asfitted.publish import Asset, PaperName, Publication, Published, publish
from asfitted.studies.decisions import decide
from asfitted.studies.fault_summary import telling
from asfitted.studies.faults.route import route
from asfitted.studies.study import NotUsable, Study, study

MOST_PATHS: dict[Edition, int] = {"owner": 2, "public": 2, "inspector": 6}


class Barred(Exception):  # noqa: N818  (it is a verdict on the build, not an error of the program)
    """Findings of the two upper classes are open, and no draft was asked for."""

    def __init__(self, study: Study) -> None:
        super().__init__(f"{len(study.barred)} findings")
        self.study = study


def publish_build(
    found: Study,
    edition: Edition,
    paper: PaperName,
    out: Path,
    draft: bool,
    progress: Callable[[str], None],
    options: bool = True,
) -> Published:
    """Publish one edition of a studied build into the folder `out`; with `options` those of its decisions too.

    Raises Barred if findings of the two upper classes are open and `draft` is not set; PublishError.
    """
    if found.barred and not draft:
        raise Barred(found)
    return publish(publication(found, edition, paper, options), out, progress)


def publication(found: Study, edition: Edition, paper: PaperName, options: bool = True) -> Publication:
    """Return an edition complete: pages, figures and record of a study, and of the options of its decisions."""
    description = found.network.description
    room = PAPERS[f"{paper} portrait"]
    overview = single_line(found.network, room)
    earths = earthing(found.network, room)
    links = earthing_states(found.network, found.states, room)
    of_states = state_figures(found.network, found.states, room)
    paths = _fault_paths(found, edition, room.width_mm)
    plots = {study.bank.id: energy_figures(study, room.width_mm) for study in found.energy.banks}
    lines = _time_lines(found, room.width_mm)
    curves = _time_currents(found, edition, room.width_mm)
    wired = wiring(found.network, room)
    plan = location_plan(found.network, room.width_mm)
    plans = (plan,) if plan else ()
    book = Book(
        study=found,
        edition=edition,
        draft=bool(found.barred),
        single_line=tuple(_picture(figure) for figure in overview),
        states={state: tuple(_picture(figure) for figure in sheets) for state, sheets in of_states.items()},
        earthing=tuple(_picture(figure) for figure in earths),
        links_in_use=tuple(_picture(figure) for figure in links),
        fault_paths=tuple(_picture(figure) for figure in paths),
        energy={bank: tuple(_picture(figure) for figure in figures) for bank, figures in plots.items()},
        time_lines=tuple(_picture(figure) for figure in lines),
        plan=tuple(_picture(figure) for figure in plans),
        wiring=tuple(_picture(figure) for figure in wired),
        time_currents=tuple(_picture(figure) for figure in curves),
        decisions=decide(found) if options else (),
    )
    of_banks = chain.from_iterable(plots.values())
    drawn = (
        *overview,
        *earths,
        *links,
        *paths,
        *lines,
        *curves,
        *wired,
        *plans,
        *chain.from_iterable(of_states.values()),
        *of_banks,
    )
    number, revision = description.revision
    chapters = pages(book)
    mark = fingerprint(found.loaded)
    return Publication(
        title=description.build.title,
        subtitle=description.build.setting,
        reference=description.build.reference,
        revision=str(number),
        revision_date=datetime.date.fromisoformat(revision.date),
        fingerprint=mark,
        edition=edition,
        paper=paper,
        draft=book.draft,
        pages=chapters,
        assets=(*(_asset(figure) for figure in drawn), *sign_assets(chapters)),
        record=json.dumps(
            record(found, mark, book.decisions), ensure_ascii=False, indent=1, sort_keys=False
        ).encode(),
    )


def _fault_paths(found: Study, edition: Edition, width_mm: float) -> tuple[Figure, ...]:
    """Return the ways of a few fault currents: more of them for the inspector."""
    figures: list[Figure] = []
    for result in telling(found.faults.faults, MOST_PATHS[edition]):
        way = route(found.network, found.states, result, found.sizing.sizes)
        if way is not None:
            state = found.state(result.state).name
            figures.append(fault_path(found.network, way, result, state, len(figures) + 1, width_mm))
    return tuple(figures)


def _time_lines(found: Study, width_mm: float) -> tuple[Figure, ...]:
    """Return the order of events of every changeover, when the supply goes and when it comes back."""
    lines = (line for transfer in found.transfers.transfers for line in transfer.lines)
    return tuple(time_line(found.network, line, n, width_mm) for n, line in enumerate(lines, 1))


def _time_currents(found: Study, edition: Edition, width_mm: float) -> tuple[Figure, ...]:
    """Return the curves of each chain of devices: for the inspector, others read who opens first in words."""
    if not holds(edition, "devices/curves"):
        return ()
    return tuple(
        time_current(found.network, found.sizing, devices, n, width_mm)
        for n, devices in enumerate(found.sizing.chains, 1)
    )


def _picture(figure: Figure) -> Picture:
    path, anchor = Markup(f"figures/{figure.name}.svg"), Markup(f"fig-{figure.name}")  # noqa: S704  (names of ours)
    return Picture(path, anchor, figure.alternative, figure.title)


def _asset(figure: Figure) -> Asset:
    return Asset(f"figures/{figure.name}.svg", figure.svg, figure.alternative, figure.description)


def preview_build(path: Path, edition: Edition, address: str, say: Callable[[str], None]) -> None:
    """Serve the site of a description and rebuild it on every change; it shows what failed."""
    from asfitted.description.problems import render
    from asfitted.publish.preview import preview
    from asfitted.resources import site_src

    def build(out: Path) -> None:
        loaded = load(path)
        results = load_results(path.parent)
        for file in results.unusable:
            raise ValueError("\n\n".join(render(p, file.path, file.text) for p in file.problems))
        try:
            found = study(loaded, results)
        except NotUsable as not_usable:
            raise ValueError("\n\n".join(render(p, path, loaded.text) for p in not_usable.problems)) from None
        # the options of decisions take as long as all the rest: a preview answers at once
        publish_build(found, edition, "A4", out, draft=True, progress=say, options=False)

    preview(build, [path.parent, site_src()], address)


__all__ = ["Barred", "fingerprint", "preview_build", "publication", "publish_build"]
