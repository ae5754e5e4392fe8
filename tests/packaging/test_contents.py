"""The check of wheel and source archive sees a file that is missing and one too many."""

from __future__ import annotations

import tarfile
import zipfile
from pathlib import Path

import pytest

from tests.packaging.contents import BESIDE, sdist_faults, wheel_faults

INFO = "noseleg-1.dist-info/"
DESCRIBED = [INFO + n for n in ("METADATA", "WHEEL", "RECORD", "entry_points.txt", "licenses/LICENSE")]
INSIDE = ["linkage/__init__.py", "linkage/starter.toml"]
AROUND = ["studies/a/study.toml", "docs/words.md", "tests/test_a.py"]


@pytest.fixture
def root(tmp_path: Path) -> Path:
    for name in (*INSIDE, *AROUND, *BESIDE, "linkage/__pycache__/a.pyc"):
        path = tmp_path / "tree" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text("")
    return tmp_path / "tree"


@pytest.mark.parametrize(
    ("without", "more", "faults"),
    [
        ([], [], []),
        (["linkage/starter.toml"], [], ["lacks linkage/starter.toml"]),
        (["linkage/starter.toml"], [".DS_Store"], ["lacks linkage/starter.toml", "holds .DS_Store"]),
        ([INFO + "licenses/LICENSE"], [], ["lacks licenses/LICENSE"]),
        ([], ["tests/test_a.py"], ["holds tests/test_a.py"]),
    ],
)
def test_wheel(without: list[str], more: list[str], faults: list[str], root: Path, tmp_path: Path) -> None:
    path = tmp_path / "a.whl"
    with zipfile.ZipFile(path, "w") as archive:
        for name in sorted({*INSIDE, *DESCRIBED, *more} - set(without)):
            archive.writestr(name, "")
    seen(wheel_faults(path, root), faults)


@pytest.mark.parametrize(
    ("without", "more", "faults"),
    [
        ([], ["PKG-INFO"], []),
        (["docs/words.md"], [], ["lacks docs/words.md"]),
        (["LICENSE"], ["out/review.html"], ["lacks LICENSE", "holds out/review.html"]),
    ],
)
def test_sdist(without: list[str], more: list[str], faults: list[str], root: Path, tmp_path: Path) -> None:
    path = tmp_path / "a.tar.gz"
    (tmp_path / "empty").write_text("")
    with tarfile.open(path, "w:gz") as archive:
        for name in sorted({*INSIDE, *AROUND, *BESIDE, *more} - set(without)):
            archive.add(tmp_path / "empty", "noseleg-1/" + name)
    seen(sdist_faults(path, root), faults)


def seen(said: list[str], wanted: list[str]) -> None:
    assert len(said) == len(wanted), said
    assert all(w in s for w, s in zip(wanted, said, strict=True)), said
