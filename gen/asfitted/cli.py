"""The command line. Each command imports what it needs only when it runs, so that `--help` answers at once."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import click

from asfitted import __version__

if TYPE_CHECKING:
    from asfitted.description.problems import Problem
    from asfitted.studies.study import Study

EXIT_FINDINGS = 1
EXIT_NOT_USABLE = 2
BUILD = click.argument("build", type=click.Path(path_type=Path))
EDITION = click.option(
    "--edition", type=click.Choice(["owner", "inspector", "public"]), default="owner", show_default=True,
    help="Whom the documents are for.",
)  # fmt: skip
PAPER = click.option(
    "--paper",
    type=click.Choice(["A4", "Letter", "A5"], case_sensitive=False),
    default="A4",
    show_default=True,
    help="Paper of the book.",
)


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, "-V", "--version")
def main() -> None:
    """From one description of a small electrical installation: checks, calculations, one set of documents."""


def description_path(build: Path) -> Path:
    """Return the description meant by a folder or a file."""
    return build / "build.yaml" if build.is_dir() or not build.suffix else build


def say(line: str = "") -> None:
    """Print one line for people; progress and messages go to standard error."""
    click.echo(line, err=True)


def _stop(problems: tuple[Problem, ...], path: Path, text: str, form: str) -> NoReturn:
    """Print every problem at its place and leave with the status of an input that is not usable."""
    import json

    from asfitted.description.problems import render, to_dict

    if form == "json":
        click.echo(
            json.dumps({"problems": [to_dict(p, path) for p in problems]}, ensure_ascii=False, indent=2)
        )
    else:
        for problem in problems:
            click.echo(render(problem, path, text) + "\n")
        say(_text("cli", "problems", count=len(problems)))
    sys.exit(EXIT_NOT_USABLE)


def _text(catalogue: str, key: str, **fields: object) -> str:
    from asfitted import words

    return words.text(catalogue, key, **fields)


def _studied(build: Path, form: str = "text") -> Study:
    from asfitted.description.load import load
    from asfitted.description.results import load_results
    from asfitted.studies.study import NotUsable, study

    path = description_path(build)
    loaded = load(path)
    results = load_results(path.parent)
    for file in results.unusable:
        _stop(file.problems, file.path, file.text, form)
    try:
        return study(loaded, results)
    except NotUsable as not_usable:
        _stop(not_usable.problems, path, loaded.text, form)


@main.command()
@BUILD
@click.option("--expanded", is_flag=True, help="Print the long form that the short forms stand for.")
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True)
def check(build: Path, expanded: bool, form: str) -> None:
    """Check a build: every problem of the description at its line, then every finding of the studies.

    Exit status 0: nothing of the two upper classes is open; 1: something is; 2: the description is not usable.
    """
    from asfitted.chapters.report import finding_dict, report

    if expanded:
        _print_expanded(build)
        return
    study = _studied(build, form)
    if form == "json":
        import json

        findings = [finding_dict(finding, study) for finding in study.findings]
        click.echo(json.dumps({"problems": [], "findings": findings}, ensure_ascii=False, indent=2))
    else:
        click.echo(report(study), nl=False)
    sys.exit(EXIT_FINDINGS if study.barred else 0)


def _print_expanded(build: Path) -> None:
    from asfitted.description.dump import dump
    from asfitted.description.load import load

    path = description_path(build)
    loaded = load(path)
    if loaded.problems:
        _stop(loaded.problems, path, loaded.text, "text")
    click.echo(dump(loaded.tree), nl=False)


@main.command()
@BUILD
@EDITION
@PAPER
@click.option(
    "--out", type=click.Path(path_type=Path), help="Folder for the documents  [default: BUILD/published]"
)
@click.option(
    "--draft",
    is_flag=True,
    help="Publish although findings of the two upper classes are open; every page says so.",
)
def build(build: Path, edition: str, paper: str, out: Path | None, draft: bool) -> None:
    """Build site, book and record of one edition."""
    from asfitted.pipeline import Barred, publish_build
    from asfitted.publish import PublishError

    path = description_path(build)
    study = _studied(build)
    try:
        done = publish_build(study, edition, paper, out or path.parent / "published", draft, say)  # type: ignore[arg-type]
    except Barred as barred:
        from asfitted.chapters.report import report

        click.echo(report(barred.study), nl=False)
        say(_text("cli", "barred", count=len(barred.study.barred)))
        sys.exit(EXIT_FINDINGS)
    except PublishError as error:
        say(str(error))
        sys.exit(EXIT_NOT_USABLE)
    for what, place in done.paths.items():
        say(_text("cli", f"written.{what}", path=place))


@main.command()
@BUILD
@EDITION
@click.option(
    "--address", default="localhost:8000", show_default=True, help="Where to serve; this machine only."
)
def preview(build: Path, edition: str, address: str) -> None:
    """Serve the site on this machine and rebuild it whenever the description, a picture or a page changes."""
    from asfitted.pipeline import preview_build

    preview_build(description_path(build), edition, address, say)  # type: ignore[arg-type]


@main.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--setting", type=click.Choice(["road vehicle", "trailer", "boat", "cabin", "house"]))
@click.option("--region", type=click.Choice(["Europe", "United Kingdom", "North America"]))
@click.option("--supply", help="Rating of the supply, such as 16 A.")
@click.option("--inverter", help="Power of the inverter, such as 1.6 kW, or none.")
@click.option("--battery", help="Battery, such as LiFePO4 25.6 V 200 Ah.")
@click.option(
    "--ac", multiple=True, help="An a.c. circuit with its load: kitchen=kettle 1 kW. May be repeated."
)
@click.option("--dc", multiple=True, help="A d.c. circuit with its load: lamps=lamps 48 W. May be repeated.")
@click.option("--yes", is_flag=True, help="Ask nothing; take the usual answer where an option is not given.")
def new(folder: Path, yes: bool, **options: object) -> None:
    """Write a commented description to start from. Nothing that is there already is overwritten.

    Asks a few questions; the answers may also be piped in, one on a line.
    """
    from asfitted.new import has_answers, write_new

    sys.exit(write_new(folder, options, ask=not yes and has_answers(sys.stdin), say=say))


@main.command()
@click.argument("kind", nargs=-1)
def kinds(kind: tuple[str, ...]) -> None:
    """List the kinds of equipment, or the terminals, fields and words of one; also of a cable, a circuit, an
    appliance.
    """
    from asfitted.description.kinds_table import kinds_text

    wanted = " ".join(kind)
    text = kinds_text(wanted or None)
    if text is None:
        from asfitted.description.kind_names import meant_kind

        say(_text("cli", "unknown kind", kind=wanted, meant=meant_kind(wanted)))
        sys.exit(EXIT_NOT_USABLE)
    click.echo(text, nl=False)


@main.command()
@click.option("--results", "of_results", is_flag=True, help="Print that of a file of test results.")
def schema(of_results: bool) -> None:
    """Print the JSON Schema of a description, for editors that complete and check it."""
    import json

    from asfitted.description.jsonschema import json_schema, results_schema

    found = results_schema() if of_results else json_schema()
    click.echo(json.dumps(found, ensure_ascii=False, indent=2))
