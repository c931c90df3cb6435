"""The command line as a user meets it: exit status, what is printed where, and nothing of theirs overwritten."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from asfitted.cli import main
from tests.studies.builds import varied


def run(*arguments: str, stdin: str | None = None):
    return CliRunner().invoke(main, [str(a) for a in arguments], input=stdin, catch_exceptions=False)


def written(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "build.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def test_check_of_a_sound_build(paper_lantern):
    done = run("check", paper_lantern)
    assert done.exit_code == 0
    assert "no open finding" in done.output


def test_check_names_line_and_column_and_ends_with_2(tmp_path):
    text = varied(("W10: 7 m in wall duct", "W10: 7 m in wal duct"))
    path = written(tmp_path, text)
    line = next(n for n, row in enumerate(text.splitlines(), 1) if "wal duct" in row)
    column = text.splitlines()[line - 1].index("in wal duct") + 1
    done = run("check", path)
    assert done.exit_code == 2
    assert f"build.yaml:{line}:{column}: error" in done.output
    assert "wall duct" in done.output
    assert "Traceback" not in done.output


def test_check_as_data(tmp_path):
    path = written(
        tmp_path,
        varied(("kind: fixed, lands on: own earth terminal, allowed by maker: data sheet", "kind: none")),
    )
    done = run("check", path, "--format", "json")
    assert done.exit_code == 1
    found = json.loads(done.output)["findings"]
    assert {f["code"] for f in found if f["class"] == "potentially dangerous"} >= {"no-bond"}
    assert all(f["line"] >= 1 and f["message"] and f["remedy"] for f in found)


@pytest.mark.parametrize("content", [b"", b"\xff\xfe", b"a: [", b"- 1\n", b"\x00", b"a: &a [*a]"])
def test_what_is_no_description_is_answered_without_a_traceback(tmp_path, content):
    path = tmp_path / "build.yaml"
    path.write_bytes(content)
    done = run("check", path)
    assert done.exit_code == 2
    assert f"{path}:" in done.output or "build.yaml:" in done.output


def test_a_folder_without_a_description(tmp_path):
    done = run("check", tmp_path / "nothing")
    assert done.exit_code == 2


def test_expanded_form_is_accepted_as_input(paper_lantern, tmp_path):
    long = run("check", paper_lantern, "--expanded")
    assert long.exit_code == 0
    again = run("check", written(tmp_path, long.output))
    assert again.exit_code == 0, again.output
    assert again.output == run("check", paper_lantern).output


def test_build_is_refused_while_a_serious_finding_is_open(tmp_path):
    path = written(
        tmp_path,
        varied(("kind: fixed, lands on: own earth terminal, allowed by maker: data sheet", "kind: none")),
    )
    done = run("build", path)
    assert done.exit_code == 1
    assert not (tmp_path / "published").exists()
    drafted = run("build", path, "--draft")
    assert drafted.exit_code == 0, drafted.output
    index = (tmp_path / "published" / "site" / "index.html").read_text(encoding="utf-8")
    assert "DRAFT" in index


def test_new_checks_and_builds_without_a_change(tmp_path):
    done = run("new", tmp_path / "my-van", "--yes")
    assert done.exit_code == 0
    assert run("check", tmp_path / "my-van").exit_code == 0
    built = run("build", tmp_path / "my-van")
    assert built.exit_code == 0, built.output
    assert (tmp_path / "my-van" / "published" / "manual.pdf").stat().st_size > 10_000


def test_new_overwrites_nothing(tmp_path):
    path = written(tmp_path, "mine: true\n")
    done = run("new", tmp_path, "--yes")
    assert done.exit_code == 2
    assert path.read_text(encoding="utf-8") == "mine: true\n"


def test_new_says_what_it_cannot_read(tmp_path):
    done = run("new", tmp_path / "x", "--yes", "--battery", "a big one")
    assert done.exit_code == 2
    assert "a big one" in done.output
    assert "LiFePO4" in done.output
    assert not (tmp_path / "x").exists()


ANSWERS = """cabin
Europe
20
20 A
0,5 kW
500 W
24 V 280 Ah
LiFePO4 24 V 280 Ah
kitchen=kettle 1,5 kW
kitchen=kettle 1.5 kW

lamps=lamps 20 W

"""


def test_new_asks_again_at_once_and_says_what_is_wrong(tmp_path):
    done = run("new", tmp_path / "hut", stdin=ANSWERS)
    assert done.exit_code == 0, done.output
    for wrong, right in (
        ("“20”", "20 A"),
        ("“0,5 kW”", "0.5 kW"),
        ("“24 V 280 Ah”", "LiFePO4"),
        ("1,5 kW", "1.5 kW"),
    ):
        assert wrong in done.output
        assert right in done.output[done.output.index(wrong) :]
    assert "plug" not in done.output
    text = (tmp_path / "hut" / "build.yaml").read_text(encoding="utf-8")
    assert "battery: LiFePO4 25.6 V 280 Ah" in text
    assert "kettle: 1.5 kW" in text
    assert run("check", tmp_path / "hut").exit_code == 0


def test_new_takes_the_usual_answers_when_the_answers_end(tmp_path):
    assert run("new", tmp_path / "a", stdin="boat\n").exit_code == 0
    assert "setting: boat" in (tmp_path / "a" / "build.yaml").read_text(encoding="utf-8")
    assert run("new", tmp_path / "b", stdin="").exit_code == 0


def test_new_writes_nothing_when_the_answers_end_with_a_wrong_one(tmp_path):
    done = run("new", tmp_path / "a", stdin="boat\nEurope\nsixteen\n")
    assert done.exit_code == 2
    assert "Nothing was written" in done.output
    assert not (tmp_path / "a").exists()


def test_new_asks_nothing_if_told_so(tmp_path):
    done = run("new", tmp_path / "a", "--yes", stdin="boat\n")
    assert done.exit_code == 0
    assert "setting: road vehicle" in (tmp_path / "a" / "build.yaml").read_text(encoding="utf-8")


def test_the_paper_is_understood_in_any_case(tmp_path):
    path = written(tmp_path, "mine: true\n")
    assert run("build", path, "--paper", "a4").exit_code == 2, "the description, not the paper, is refused"
    assert "Invalid value" in run("build", path, "--paper", "a3").output


def test_kinds_and_schema():
    assert "RCBO" in run("kinds").output
    assert "residual current" in run("kinds", "RCBO").output
    unknown = run("kinds", "RCB")
    assert unknown.exit_code == 2
    assert "RCBO" in unknown.output
    assert run("kinds", "transfer", "switch").output == run("kinds", "transfer switch").output
    assert "3G2.5" in run("kinds", "cable").output
    changeover = run("kinds", "changeover").output
    assert "transfer switch" in changeover
    assert "selector switch" in changeover
    assert json.loads(run("schema").output)["$schema"].startswith("http://json-schema.org/draft-07")
