import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from asfitted.publish import OutputError
from asfitted.publish.manifest import NAME, is_whole
from asfitted.publish.swap import replacing

HERE = Path(__file__).parent


def put(out: Path, content: str, *more: str) -> None:
    """Publish two files, and empty ones named in `more`."""
    with replacing(out) as (new, _):
        (new / "site").mkdir()
        (new / "site" / "index.html").write_text(content)
        (new / "manual.pdf").write_text(content)
        for name in more:
            (new / name).parent.mkdir(parents=True, exist_ok=True)
            (new / name).write_text(content)


def siblings(out: Path) -> list[str]:
    return sorted(path.name for path in out.parent.iterdir())


def test_a_second_publication_replaces_the_first_and_what_it_no_longer_has(out: Path) -> None:
    put(out, "one", "site/figures/gone.svg")
    put(out, "two")
    assert is_whole(out)
    assert (out / "manual.pdf").read_text() == "two"
    assert not (out / "site" / "figures").exists()
    assert siblings(out) == ["published"]


@pytest.mark.parametrize("content", [None, "{}", '{"format": 1}', "[1]", '{"format": 9, "files": {}}'])
def test_a_foreign_folder_is_refused_and_left_alone(out: Path, content: str | None) -> None:
    out.mkdir()
    (out / "letter.txt").write_text("mine")
    if content is not None:
        (out / NAME).write_text(content)
    with pytest.raises(OutputError) as caught:
        put(out, "one")
    assert caught.value.code == "foreign-folder"
    assert str(out) in str(caught.value)
    assert (out / "letter.txt").read_text() == "mine"
    assert siblings(out) == ["published"]


def test_an_empty_folder_is_taken(out: Path) -> None:
    out.mkdir()
    put(out, "one")
    assert is_whole(out)


def test_a_file_or_a_link_in_place_of_the_folder_is_refused(out: Path, tmp_path: Path) -> None:
    out.write_text("mine")
    with pytest.raises(OutputError, match="not a folder"):
        put(out, "one")
    out.unlink()
    (tmp_path / "elsewhere").mkdir()
    out.symlink_to(tmp_path / "elsewhere")
    with pytest.raises(OutputError, match="not a folder"):
        put(out, "one")


def test_files_of_the_user_stay(out: Path) -> None:
    put(out, "one")
    (out / "notes.txt").write_text("mine")
    (out / "site" / "mine.html").write_text("mine")
    (out / "photos" / "empty").mkdir(parents=True)
    (out / "photos" / "a.jpg").write_text("mine")
    (out / "link").symlink_to("nowhere")
    put(out, "two", "photos/ours.jpg")
    assert is_whole(out)
    for name in ("notes.txt", "site/mine.html", "photos/a.jpg"):
        assert (out / name).read_text() == "mine"
    assert (out / "photos" / "empty").is_dir()
    assert (out / "photos" / "ours.jpg").read_text() == "two"
    assert (out / "link").is_symlink()
    assert siblings(out) == ["published"]


@pytest.mark.parametrize("kind", ["file", "folder", "file in a folder"])
def test_a_file_of_the_user_is_never_overwritten(out: Path, kind: str) -> None:
    put(out, "one")
    mine = out / "extra" / "page.html"
    mine.parent.mkdir()
    if kind == "folder":
        mine.mkdir()
    else:
        mine.write_text("mine")
    with pytest.raises(OutputError) as caught:
        put(out, "two", "extra" if kind == "file" else "extra/page.html")
    assert caught.value.code == "file-in-the-way"
    assert mine.exists()
    assert (out / "manual.pdf").read_text() == "one"


def test_a_failing_build_leaves_the_last_one(out: Path) -> None:
    put(out, "one")
    with pytest.raises(KeyError), replacing(out) as (new, _):
        (new / "manual.pdf").write_text({}["half"])
    assert is_whole(out)
    assert (out / "manual.pdf").read_text() == "one"
    assert siblings(out) == ["published"]


def test_two_builds_at_once_are_refused(out: Path) -> None:
    with replacing(out) as (new, _):
        with pytest.raises(OutputError) as caught:
            put(out, "other")
        assert caught.value.code == "locked"
        (new / "manual.pdf").write_text("one")
    assert is_whole(out)


def test_a_lock_left_by_a_killed_build_does_not_bar_the_next(out: Path) -> None:
    out.with_name(".published.asfitted-lock").write_text("")
    put(out, "one")
    assert is_whole(out)


def killed_at(out: Path, step: int) -> bool:
    """Publish in a child that is killed at its `step`-th change to the disk; return whether it was."""
    child = os.fork()
    if child == 0:
        left = step

        def mortal(change: Callable[..., object]) -> Callable[..., object]:
            def changed(*arguments: object, **named: object) -> object:
                nonlocal left
                if left == 0:
                    os.kill(os.getpid(), signal.SIGKILL)
                left -= 1
                return change(*arguments, **named)

            return changed

        for name in ("rename", "unlink", "rmdir", "mkdir", "write_text"):
            setattr(Path, name, mortal(getattr(Path, name)))
        put(out, "two")
        os._exit(0)
    return os.WIFSIGNALED(os.waitpid(child, 0)[1])


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a system that forks")
def test_killed_at_any_step_the_last_good_one_or_the_new_one_is_whole(tmp_path: Path) -> None:
    steps = 0
    for step in range(100):
        out = tmp_path / str(step) / "published"
        put(out, "one", "site/figures/a.svg")
        (out / "site" / "mine.html").write_text("mine")
        if not killed_at(out, step):
            steps = step
            break
        old = out.with_name(".published.asfitted-old")
        assert is_whole(out) or (not out.exists() and is_whole(old))
        put(out, "three")
        assert is_whole(out)
        assert (out / "site" / "mine.html").read_text() == "mine"
        assert siblings(out) == ["published"]
    assert steps > 12


SCRIPT = """
import sys
from pathlib import Path
sys.path.insert(0, sys.argv[1])
from sample import publication
from asfitted.publish import publish
print("begun", flush=True)
publish(publication(0), Path(sys.argv[2]), lambda line: None)
"""


def test_a_real_build_killed_at_several_moments_leaves_the_last_good_one(out: Path) -> None:
    put(out, "one")
    environment = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
    for delay_s in (0.0, 0.2, 0.45, 0.7):
        command = [sys.executable, "-c", SCRIPT, str(HERE), str(out)]
        with subprocess.Popen(command, env=environment, stdout=subprocess.PIPE) as build:
            assert build.stdout
            build.stdout.readline()
            time.sleep(delay_s)
            build.kill()
        assert is_whole(out)
    put(out, "two")
    assert siblings(out) == ["published"]
