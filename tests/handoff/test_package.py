"""The whole package: put in place in one go, the same every time, honest about what is missing."""

from __future__ import annotations

import json
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from linkage.folders import staged
from linkage.handoff import package
from linkage.handoff.manifest import CONTENTS, fingerprint, read_manifest
from linkage.handoff.model import HandoffError, Pin
from linkage.handoff.package import write_package
from linkage.handoff.verify import verify
from tests.handoff.samples import handoff, plain


def contents(folder: Path) -> dict[str, bytes]:
    return {p.name: p.read_bytes() for p in folder.iterdir()}


def test_a_second_run_gives_the_same_bytes(original: Path, tmp_path: Path) -> None:
    write_package(tmp_path / "again", handoff(slabs=plain()))
    assert contents(tmp_path / "again") == contents(original)


def test_manifest_tells_every_file_and_holds_no_nan(finished: Path) -> None:
    manifest = read_manifest(finished)
    on_disk = {p.name for p in finished.iterdir()} - {"manifest.json"}
    assert set(manifest["files"]) == on_disk
    assert on_disk | set(manifest["left_out"]) == set(CONTENTS)
    for name, said in manifest["files"].items():
        assert said["sha256"] == fingerprint(finished / name)
        assert said["bytes"] == (finished / name).stat().st_size
    assert manifest["study"]["sha256"] == handoff().provenance.study_sha256

    def refuse(word: str) -> None:
        raise AssertionError(word)

    json.loads((finished / "manifest.json").read_text(encoding="utf-8"), parse_constant=refuse)


def test_further_files_are_fingerprinted_too(tmp_path: Path) -> None:
    told: list[str] = []
    done = write_package(tmp_path / "a", handoff(slabs=plain()), {"side-view.svg": b"<svg/>"}, told.append)
    assert "side-view.svg" in done.files and "side-view.svg" in read_manifest(tmp_path / "a")["files"]
    assert told[-1] == "manifest.json" and "keep-out.step" in told
    (tmp_path / "a" / "side-view.svg").write_bytes(b"<svg />")
    assert [c.subject for c in verify(tmp_path / "a") if c.passed is False] == ["side-view.svg: SHA-256"]
    for name in ("../b.svg", "manifest.json", "keep-out.stl"):
        with pytest.raises(HandoffError, match="plain names"):
            write_package(tmp_path / "a", handoff(slabs=plain()), {name: b""})


def test_without_the_cad_library_it_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "a"
    folder.mkdir()
    (folder / "keep-out.step").write_text("of an earlier run")
    monkeypatch.setitem(sys.modules, "OCP.STEPCAFControl", None)
    done = write_package(folder, handoff(slabs=plain()))
    assert "noseleg[cad]" in done.left_out["keep-out.step"]
    assert not (folder / "keep-out.step").exists()  # nothing stale beside the new files
    checks = {c.subject: c for c in verify(folder)}
    assert checks["keep-out.step"].passed is None and "noseleg[cad]" in checks["keep-out.step"].found
    assert all(c.passed is not False for c in checks.values())


@pytest.mark.parametrize("fault", [RuntimeError("disk full"), KeyboardInterrupt()])
def test_an_interrupted_run_changes_nothing(
    copied: Path, monkeypatch: pytest.MonkeyPatch, fault: BaseException
) -> None:
    (copied / "notes.txt").write_text("mine")
    before = contents(copied)

    def fail(*_: object) -> bytes:
        raise fault

    monkeypatch.setattr(package, "manifest_text", fail)
    with pytest.raises(type(fault)):
        write_package(copied, handoff(slabs=plain()))
    assert contents(copied) == before
    assert list(copied.parent.glob(".draft-*")) == []


def test_a_move_that_fails_half_way_is_undone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "a"
    folder.mkdir()
    (folder / "b").write_text("old b")
    (folder / "manifest.json").write_text("old")
    (folder / "stale").write_text("old stale")
    real = Path.rename

    def rename(self: Path, target: Path) -> Path:
        if self.name in ("c", "new") and folder in (target, target.parent):
            raise OSError("no")
        return real(self, target)

    monkeypatch.setattr(Path, "rename", rename)
    monkeypatch.setattr("linkage.folders.exchanged", lambda one, other: False)  # as on other systems
    with pytest.raises(OSError, match="no"), staged(folder, "manifest.json", ["stale"]) as draft:
        for name in ("b", "c", "manifest.json"):
            (draft / name).write_text("new")
    assert {p.name: p.read_text() for p in folder.iterdir()} == {
        "b": "old b",
        "manifest.json": "old",
        "stale": "old stale",
    }
    folder = tmp_path / "x" / "new"
    with pytest.raises(OSError, match="no"), staged(folder) as draft:
        (draft / "c").write_text("new")
    assert not folder.exists()
    assert list((tmp_path / "x").iterdir()) == []


def test_files_that_are_not_ours_stay(tmp_path: Path) -> None:
    (tmp_path / "mine").write_text("mine")
    with staged(tmp_path) as draft:
        (draft / "a").write_text("a")
    assert {p.name for p in tmp_path.iterdir()} == {"mine", "a"}
    with pytest.raises(NotADirectoryError, match="not a folder"), staged(tmp_path / "mine"):
        pass


def test_bad_input_is_refused_before_anything_is_written(tmp_path: Path) -> None:
    good = handoff(slabs=plain())
    bad = {
        "SHA-256": replace(good, provenance=replace(good.provenance, study_sha256="x")),
        "unit": replace(good, provenance=replace(good.provenance, units="cm")),  # type: ignore[arg-type]
        "allowance": replace(good, provenance=replace(good.provenance, allowance_mm=float("nan"))),
        "fit tolerance": replace(good, fit_tolerance_mm=0.0),
        "station step": replace(good, station_step=-1.0),
        "pin 'a'": replace(good, pins=(Pin("a", complex("nan"), 0j),)),
        "no slabs": replace(good, keep_out=replace(good.keep_out, slabs=())),
    }
    for word, wrong in bad.items():
        with pytest.raises(HandoffError, match=word):
            write_package(tmp_path / "out", wrong)
    assert list(tmp_path.iterdir()) == []
