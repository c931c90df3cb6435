"""`asfitted new`: a few questions, then a description to start from. Nothing that is there already is overwritten."""

from __future__ import annotations

import json
import re
import select
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any, TextIO

import click

from asfitted import words
from asfitted.description.answers import (
    MOBILE,
    AnswerError,
    Answers,
    CircuitAnswer,
    check_inverter,
    check_supply,
    read_battery,
)
from asfitted.description.jsonschema import json_schema
from asfitted.description.starter import starter

DESCRIPTION, SCHEMA = "build.yaml", "schema.json"
EXIT_NOT_USABLE = 2
#: how long a text that is piped in may take to begin
PATIENCE_S = 0.2
#: question -> what reads its answer, or refuses it
CHECKS: dict[str, Callable[[str], Any]] = {
    "supply": check_supply,
    "inverter": check_inverter,
    "battery": read_battery,
}
CHOICES = {
    "setting": ("road vehicle", "trailer", "boat", "cabin", "house"),
    "region": ("Europe", "United Kingdom", "North America"),
}


def has_answers(stdin: TextIO) -> bool:
    """Tell whether somebody answers: a person at a terminal, or a text that is piped in."""
    if stdin.isatty():
        return True
    try:
        return bool(select.select([stdin], [], [], PATIENCE_S)[0])
    except (OSError, ValueError):
        return True  # a stream that cannot be waited for ends by itself


def write_new(folder: Path, options: dict[str, Any], ask: bool, say: Callable[[str], None]) -> int:
    """Write description and schema into `folder`; return the exit status."""
    path = folder / DESCRIPTION
    if path.exists():
        say(words.text("new", "exists", path=path))
        return EXIT_NOT_USABLE
    try:
        text = starter(answers(folder, options, _Asking(say) if ask else None), schema=f"./{SCHEMA}")
    except AnswerError as error:
        _explain(error, say)
        say(words.text("new", "not written"))
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


def answers(folder: Path, options: dict[str, Any], asking: _Asking | None) -> Answers:
    """Return the answers from options, from the questions where there is somebody to ask, else the usual ones."""
    usual = Answers()
    title = re.sub(r"[-_]+", " ", folder.resolve().name).strip()
    given: dict[str, Any] = {"title": title[:1].upper() + title[1:]}
    for name in ("setting", "region", "supply", "inverter", "battery"):
        default = "30 A" if name == "supply" and given["region"] == "North America" else getattr(usual, name)
        fixed = name == "supply" and given["setting"] not in MOBILE
        question = "fixed supply" if fixed else name
        given[name] = options.get(name) or (asking.one(name, default, question) if asking else default)
        CHECKS.get(name, str)(given[name])
    for name in ("ac", "dc"):
        written = tuple(CircuitAnswer.read(name, text) for text in options.get(name) or ())
        given[name] = written or (asking.circuits(name) if asking else ()) or getattr(usual, name)
    return Answers(**given)


class _Asking:
    """Asks question by question, each until its answer can be used; when the answers end, the usual ones hold."""

    def __init__(self, say: Callable[[str], None]) -> None:
        self.say = say
        self.ended = False

    def one(self, name: str, default: str, question: str) -> str:
        """Return the answer to one question."""
        asked = words.text("new", f"ask.{question}")
        choices = click.Choice(CHOICES[name], case_sensitive=False) if name in CHOICES else None
        return str(self._until_usable(asked, default, CHECKS.get(name, str), choices)[0])

    def circuits(self, name: str) -> tuple[CircuitAnswer, ...]:
        """Return the circuits that are named, one by one until an answer is empty."""
        found: list[CircuitAnswer] = []
        asked = words.text("new", f"ask.{name}")
        while True:
            text, circuit = self._until_usable(
                asked, "", lambda text: text and CircuitAnswer.read(name, text)
            )
            if not text:
                return tuple(found)
            found.append(circuit)

    def _until_usable(
        self, asked: str, default: str, read: Callable[[str], Any], choices: click.Choice[str] | None = None
    ) -> tuple[str, Any]:
        """Return an answer and what is read from it."""
        wrong: AnswerError | None = None
        while not self.ended:
            try:
                text = click.prompt(
                    asked, default=default, show_default=bool(default), type=choices, err=True
                )
                return text, read(text)
            except AnswerError as error:
                wrong = error
                _explain(error, self.say)
            except click.Abort:
                if sys.stdin.isatty():
                    raise
                self.ended = True
                self.say("")
        if wrong is not None:
            raise wrong
        return default, read(default)


def _explain(error: AnswerError, say: Callable[[str], None]) -> None:
    """Say what is wrong with an answer, and how one looks that can be used."""
    examples = words.catalogue("new")["example"]
    example = words.text("new", f"example.{error.question if error.question in examples else 'circuit'}")
    for line in (
        words.text("new", "not understood", question=error.question, answer=error.answer),
        error.advice,
        example,
    ):
        if line:
            say(line)
