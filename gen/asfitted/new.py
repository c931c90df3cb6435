"""`asfitted new`: a few questions, then a description to start from. Nothing that is there already is overwritten."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from asfitted import words
from asfitted.description.jsonschema import json_schema
from asfitted.description.starter import AnswerError, Answers, CircuitAnswer, starter

DESCRIPTION, SCHEMA = "build.yaml", "schema.json"
EXIT_NOT_USABLE = 2
CHOICES = {
    "setting": ("road vehicle", "trailer", "boat", "cabin", "house"),
    "region": ("Europe", "United Kingdom", "North America"),
}


def write_new(folder: Path, options: dict[str, Any], ask: bool, say: Callable[[str], None]) -> int:
    """Write description and schema into `folder`; return the exit status."""
    path = folder / DESCRIPTION
    if path.exists():
        say(words.text("new", "exists", path=path))
        return EXIT_NOT_USABLE
    try:
        text = starter(answers(folder, options, ask), schema=f"./{SCHEMA}")
    except AnswerError as error:
        say(words.text("new", "not understood", question=error.question, answer=error.answer))
        say(words.text("new", f"example.{_question(error.question)}"))
        return EXIT_NOT_USABLE
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
        schema = json.dumps(json_schema(), ensure_ascii=False, indent=1)
        (folder / SCHEMA).write_text(schema + "\n", encoding="utf-8", newline="\n")
    except OSError as error:
        say(words.text("new", "not writable", path=folder, reason=(error.strerror or str(error)).lower()))
        return EXIT_NOT_USABLE
    say(words.text("new", "written", path=path))
    for step in ("check", "build", "preview"):
        say(words.text("new", f"next.{step}", folder=folder))
    return 0


def answers(folder: Path, options: dict[str, Any], ask: bool) -> Answers:
    """Return the answers from options, from the questions where `ask`, else the usual ones."""
    usual = Answers()
    title = re.sub(r"[-_]+", " ", folder.resolve().name).strip()
    given: dict[str, Any] = {"title": title[:1].upper() + title[1:]}
    for name in ("setting", "region", "supply", "inverter", "battery"):
        given[name] = options.get(name) or (
            _ask(name, getattr(usual, name)) if ask else _usual(name, given, usual)
        )
    for name in ("ac", "dc"):
        written = tuple(options.get(name) or ()) or (_ask_circuits(name) if ask else ())
        given[name] = tuple(CircuitAnswer.read(name, text) for text in written) or getattr(usual, name)
    return Answers(**given)


def _usual(name: str, given: dict[str, Any], usual: Answers) -> str:
    if name == "supply" and given["region"] == "North America":
        return "30 A"
    return str(getattr(usual, name))


def _ask(name: str, default: str) -> str:
    choices = click.Choice(CHOICES[name]) if name in CHOICES else None
    return str(click.prompt(words.text("new", f"ask.{name}"), default=default, type=choices, err=True))


def _ask_circuits(name: str) -> tuple[str, ...]:
    """Ask for circuits one by one until the answer is empty."""
    found: list[str] = []
    while True:
        text = click.prompt(words.text("new", f"ask.{name}"), default="", show_default=False, err=True)
        if not text:
            return tuple(found)
        found.append(text)


def _question(question: str) -> str:
    return question if question in words.catalogue("new")["example"] else "circuit"
