"""A changed file or study fails; so does a file that is wrong although its fingerprint was made to fit."""

from __future__ import annotations

import json
import struct
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from linkage.handoff.manifest import NAME, fingerprint
from linkage.handoff.verify import verify


def failed(folder: Path, study: Path | None = None) -> list[str]:
    return [c.subject for c in verify(folder, study) if c.passed is False]


def forge(folder: Path, name: str, content: bytes) -> None:
    """Change a file and make the manifest's fingerprint fit, so that only its content can give it away."""
    (folder / name).write_bytes(content)
    manifest = json.loads((folder / NAME).read_text(encoding="utf-8"))
    manifest["files"][name]["sha256"] = fingerprint(folder / name)
    (folder / NAME).write_text(json.dumps(manifest), encoding="utf-8")


def test_a_good_package_passes(finished: Path, study: Path) -> None:
    checks = verify(finished, study)
    assert [c for c in checks if c.passed is False] == []
    assert {c.subject for c in checks if c.passed is None} <= {"keep-out.step"}
    assert len(checks) > 60


def test_the_study(copied: Path, study: Path, tmp_path: Path) -> None:
    assert failed(copied, study) == []
    study.write_bytes(study.read_bytes() + b" ")
    assert failed(copied, study) == ["study"]
    assert failed(copied, tmp_path / "none.toml") == ["study"]
    assert failed(copied, tmp_path) == ["study"]


@pytest.mark.parametrize(
    "name", ["keep-out.stl", "keep-out.glb", "keep-out.dxf", "keep-out.json", "stations.csv", "pins.csv"]
)
def test_every_changed_cut_or_missing_file_fails(copied: Path, name: str) -> None:
    data = (copied / name).read_bytes()
    for broken in (data[: len(data) // 2], b"\xff\xfe\x00rubbish"):
        forge(copied, name, broken)
        assert any(subject.startswith(name) for subject in failed(copied))
    (copied / name).write_bytes(data)  # right again, but not what the manifest now says
    assert f"{name}: SHA-256" in failed(copied)
    (copied / name).unlink()
    assert f"{name}: SHA-256" in failed(copied)


def test_no_manifest_or_a_broken_one(copied: Path, tmp_path: Path) -> None:
    assert failed(tmp_path / "nowhere") == [NAME]
    text = (copied / NAME).read_text(encoding="utf-8")
    for broken in ("{", "{}", text.replace("0.05", "NaN"), text.replace('"files"', '"flies"')):
        (copied / NAME).write_text(broken, encoding="utf-8")
        assert failed(copied) == [NAME]


def test_a_manifest_cannot_point_outside(copied: Path) -> None:
    manifest = json.loads((copied / NAME).read_text(encoding="utf-8"))
    manifest["files"]["../secret"] = {"sha256": "0"}
    (copied / NAME).write_text(json.dumps(manifest), encoding="utf-8")
    (copied.parent / "secret").write_text("x")
    assert failed(copied) == ["../secret: SHA-256"]


def test_a_file_beside_the_manifest_is_not_trusted(copied: Path) -> None:
    manifest = json.loads((copied / NAME).read_text(encoding="utf-8"))
    del manifest["files"]["keep-out.stl"]
    (copied / NAME).write_text(json.dumps(manifest), encoding="utf-8")
    assert failed(copied) == ["keep-out.stl: SHA-256"]


def scaled_stl(data: bytes, factor: float) -> bytes:
    record = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("spare", "<u2")])
    rows = np.frombuffer(data, record, offset=84).copy()
    middle = rows["corners"].reshape(-1, 3).mean(axis=0)
    rows["corners"] = middle + (rows["corners"] - middle) * np.float32(factor)
    return data[:84] + rows.tobytes()


def opened_stl(data: bytes) -> bytes:
    (count,) = struct.unpack_from("<I", data, 80)
    return data[:80] + struct.pack("<I", count - 1) + data[84:-50]


@pytest.mark.parametrize(
    ("name", "change", "subject"),
    [
        ("keep-out.stl", lambda d: scaled_stl(d, 0.9999), "keep-out.stl: keep-out: bounds, mm"),
        ("keep-out.stl", lambda d: scaled_stl(d, 1 / 25.4), "keep-out.stl: keep-out: volume, mm3"),
        ("keep-out.stl", opened_stl, "keep-out.stl: keep-out: closed and valid"),
        ("keep-out.stl", lambda d: d.replace(b"UNITS=mm", b"UNITS=in"), "keep-out.stl: unit"),
        ("keep-out.glb", lambda d: d.replace(b"[0.001,", b"[0.002,"), "keep-out.glb: keep-out: volume, mm3"),
        ("keep-out.glb", lambda d: d.replace(b"zone", b"bone"), "keep-out.glb: solids"),
        ("keep-out.dxf", lambda d: d.replace(b"$INSUNITS\n 70\n4\n", b"$INSUNITS\n 70\n1\n"), "keep-out.dxf: unit"),
        ("keep-out.dxf", lambda d: d.replace(b"KEEP-OUT", b"KEEP-IN-"), "keep-out.dxf: encloses the side view"),
        ("stations.csv", lambda d: b"\n".join(d.split(b"\n")[:10] + d.split(b"\n")[12:]), "stations.csv: rows"),
        ("stations.csv", lambda d: d.replace(b"_mm", b"_in"), "stations.csv: columns"),
        ("pins.csv", lambda d: d.replace(b"1200.000", b"inf"), "pins.csv: numbers"),
        ("pins.csv", lambda d: d.replace(b"1200.000", b"nan"), "pins.csv: numbers"),
        (
            "keep-out.json",
            lambda d: d.replace(b'"bl_lo_mm":-60.0', b'"bl_lo_mm":-59.0'),
            "keep-out.json: keep-out: volume, mm3",
        ),
        ("keep-out.json", lambda d: d.replace(b"never smaller", b"mostly"), "keep-out.json: guarantee"),
    ],
)
def test_wrong_content_is_noticed(copied: Path, name: str, change: Callable[[bytes], bytes], subject: str) -> None:
    before = (copied / name).read_bytes()
    after = change(before)
    assert after != before
    forge(copied, name, after)
    assert subject in failed(copied)


@pytest.mark.parametrize(
    ("old", "new", "subject"),
    [
        (b".MILLI.", b".CENTI.", "keep-out.step: unit"),
        (b"'keep-out'", b"'keep-in'", "keep-out.step: solids"),
        (b"COLOUR_RGB('',0.835294", b"COLOUR_RGB('',0.335294", "keep-out.step: keep-out: colour"),
        (b"MANIFOLD_SOLID_BREP", b"MANIFOLD_SOLID_BROP", "keep-out.step"),
    ],
)
def test_wrong_step_is_noticed(copied_whole: Path, old: bytes, new: bytes, subject: str) -> None:
    pytest.importorskip("OCP")
    data = (copied_whole / "keep-out.step").read_bytes()
    assert old in data
    forge(copied_whole, "keep-out.step", data.replace(old, new))
    assert any(s.startswith(subject) for s in failed(copied_whole))
