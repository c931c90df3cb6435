import os
import subprocess
import sys
from pathlib import Path

from asfitted.publish.manifest import read_manifest

HERE = Path(__file__).parent
SCRIPT = """
import sys
from pathlib import Path
sys.path.insert(0, sys.argv[1])
from sample import publication
from asfitted.publish import publish
publish(publication(1), Path("published"), lambda line: None)
"""


def publish_in(folder: Path, **surroundings: str) -> Path:
    folder.mkdir()
    path = os.pathsep.join([os.environ.get("PYTHONPATH", ""), *sys.path])
    environment = os.environ | {"PYTHONPATH": path} | surroundings
    subprocess.run([sys.executable, "-c", SCRIPT, str(HERE)], cwd=folder, env=environment, check=True)
    return folder / "published"


def test_the_same_input_gives_the_same_bytes_anywhere(tmp_path: Path) -> None:
    one = publish_in(tmp_path / "a", TZ="Pacific/Kiritimati", LANG="C", PYTHONHASHSEED="1")
    other = publish_in(tmp_path / "a folder of another name", TZ="America/Lima", PYTHONHASHSEED="2")
    listed = read_manifest(one)
    assert listed == read_manifest(other)
    assert {"manual.pdf", "record.json", "site/index.html", "site/search/search_index.js"} <= set(
        listed or {}
    )
