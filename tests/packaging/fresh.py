"""Build, install and run the package as a stranger does: ``python -m tests.packaging.fresh [--full]``.

Wheel and source archive are built twice, the second time from the unpacked archive: the bytes must be the same. The
wheel goes into a fresh environment without extras, and the commands run there, away from the checkout. ``--full`` goes
on with every extra, which the suite's own environment has too, and a whole review. Exit code 1 if anything is not as it
must be.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tarfile
import tempfile
import time
from pathlib import Path

from tests.packaging.commands import AFTERWARDS, FINALLY, FIRST, REVIEW, WITH, WITHOUT, Place, prepared
from tests.packaging.contents import sdist_faults, wheel_faults

ROOT = Path(__file__).parent.parent.parent
EXTRAS = "cad,video,web,cluster"


def main() -> int:
    begin = time.monotonic()
    faults: list[str] = []

    def tell(step: str, found: list[str]) -> None:
        print(f"{time.monotonic() - begin:6.1f} s  {step}: {'good' if not found else 'FAILS'}", flush=True)
        faults.extend(found)

    with tempfile.TemporaryDirectory(prefix="noseleg-fresh-") as scratch:
        work = Path(scratch)
        wheel, sdist = built(ROOT, work / "first")
        tell("contents of wheel and source archive", wheel_faults(wheel, ROOT) + sdist_faults(sdist, ROOT))
        source = unpacked(sdist, work / "unpacked")
        tell("built again from the source archive, the same bytes", differences((wheel, sdist), source, work))
        place = environment(work)
        prepared(place.folder, source)
        pip(place, str(wheel))
        tell("installed", [])
        tell("commands without extras", place.faults(FIRST) + place.faults(WITHOUT) + place.faults(AFTERWARDS))
        if "--full" not in sys.argv[1:]:
            return told(faults)
        pip(place, f"noseleg[{EXTRAS}] @ {wheel.as_uri()}")
        tell(f"installed with {EXTRAS}", [])
        tell("commands with extras", place.faults(WITH) + place.faults(FINALLY) + place.served())
        tell("a whole review", place.faults(REVIEW))
    return told(faults)


def told(faults: list[str]) -> int:
    print("\n".join(faults) or "packaging: all good")
    return 1 if faults else 0


def built(tree: Path, into: Path, **surroundings: str) -> tuple[Path, Path]:
    """Wheel and source archive of ``tree``, by the back end alone."""
    command = [sys.executable, "-m", "hatchling", "build", "-t", "sdist", "-t", "wheel", "-d", str(into)]
    plain = {k: v for k, v in os.environ.items() if k != "SOURCE_DATE_EPOCH"}
    subprocess.run(command, cwd=tree, env=plain | surroundings, check=True, stdout=subprocess.DEVNULL)
    (wheel,), (sdist,) = into.glob("*.whl"), into.glob("*.tar.gz")
    return wheel, sdist


def unpacked(sdist: Path, into: Path) -> Path:
    """The one folder of the source archive, its files dated otherwise and closed to others."""
    with tarfile.open(sdist) as archive:
        archive.extractall(into, filter="data")
    (folder,) = into.iterdir()
    for k, path in enumerate(sorted(p for p in folder.rglob("*") if p.is_file())):
        path.chmod(0o700 if os.access(path, os.X_OK) else 0o600)
        os.utime(path, (1.7e9 + k, 1.7e9 + k))
    return folder


def differences(first: tuple[Path, Path], source: Path, work: Path) -> list[str]:
    """Builds from the unpacked archive against the first: by the back end, then by pip with what it fetches itself."""
    second = built(source, work / "second")
    pairs = zip(first, second, strict=True)
    found = [f"{a.name} differs when built again" for a, b in pairs if a.read_bytes() != b.read_bytes()]
    command = [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "--wheel-dir", str(work / "third")]
    subprocess.run([*command, str(first[1])], check=True, stdout=subprocess.DEVNULL)
    (third,) = (work / "third").glob("*.whl")
    same = _less_generator(third) == _less_generator(first[0])
    return found + ([] if same else [f"{third.name} differs when pip builds it"])


def _less_generator(wheel: Path) -> dict[str, bytes]:
    """Files of a wheel without the two that carry the version of the back end, which pip chooses itself."""
    import zipfile

    with zipfile.ZipFile(wheel) as archive:
        names = [n for n in archive.namelist() if not n.endswith((".dist-info/WHEEL", ".dist-info/RECORD"))]
        return {n: archive.read(n) for n in names}


def environment(work: Path) -> Place:
    """An empty environment; pip stays outside of it."""
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", str(work / "venv")], check=True)
    folder = work / "away"
    folder.mkdir()
    return Place(work / "venv" / "bin", folder)


def pip(place: Place, what: str) -> None:
    inside = ["--python", str(place.programs / "python")]
    command = [sys.executable, "-m", "pip", *inside, "install", "--quiet", "--no-compile", what]
    subprocess.run(command, cwd=place.folder, check=True, stdout=subprocess.DEVNULL)


if __name__ == "__main__":
    sys.exit(main())
