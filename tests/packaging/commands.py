"""The command in a fresh environment: what each call must say, write and return."""

from __future__ import annotations

import re
import signal
import subprocess
import threading
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from urllib.request import urlopen

LONGEST = 120.0
"""s that one call may take."""
NOBODY = "tcp://127.0.0.1:1"
"""Address where no scheduler listens."""
EVERY_MODULE = """
import importlib, pkgutil, linkage
assert "site-packages" in linkage.__file__, linkage.__file__
for found in pkgutil.walk_packages(linkage.__path__, "linkage."):
    if found.name != "linkage.drawing.board.pictures":  # asked for only once tornado is known to be there
        importlib.import_module(found.name)
"""


@dataclass(frozen=True)
class Call:
    """A call of a program of the environment; 0 and 1 are both usual codes for a study that has been judged."""

    line: str
    codes: tuple[int, ...] = (0,)
    says: tuple[str, ...] = ()
    never: tuple[str, ...] = ()
    writes: tuple[str, ...] = ()
    writes_not: tuple[str, ...] = ()
    before: str | None = None
    """Python to run instead of a line."""


def _install(extra: str) -> tuple[str, ...]:
    return (f"pip install 'noseleg[{extra}]'",)


def prepared(folder: Path, source: Path) -> None:
    """A study with a solid beside it, and the demo with its wishes, from the unpacked source archive."""
    demo = source / "studies" / "merrow_m2r"
    for name in ("study.toml", "wanted.toml"):
        (folder / name).write_bytes((demo / name).read_bytes())
    solid = '\n[[bay.item]]\nname = "battery"\nfile = "battery.step"\nrequired = 10\n'
    (folder / "solid.toml").write_text((demo / "study.toml").read_text(encoding="utf-8") + solid, encoding="utf-8")
    (folder / "battery.step").write_text("ISO-10303-21;\n")


FIRST = (Call("noseleg starter mine", writes=("mine/study.toml",)),)
WITHOUT = (
    Call("every module", before=EVERY_MODULE),
    Call("noseleg --help", says=("check", "handoff", "verify", "starter")),
    Call("python -m linkage --help", says=("check", "handoff", "verify", "starter")),
    Call("noseleg check mine/study.toml", (0, 1), ("findings",)),
    Call(
        "noseleg handoff mine/study.toml -o bare",
        says=("left out keep-out.step", *_install("cad")),
        writes=("bare/manifest.json", "bare/keep-out.stl"),
        writes_not=("bare/keep-out.step",),
    ),
    Call("noseleg check solid.toml", (2,), _install("cad")),
    Call("noseleg animate mine/study.toml --frames 4 -o bare.mp4", (2,), _install("video"), writes_not=("bare.mp4",)),
    Call("noseleg animate mine/study.toml --frames 4 -o bare.gif", writes=("bare.gif",)),
    Call("noseleg board --web mine/study.toml", (2,), _install("web")),
    Call(f"noseleg tolerance mine/study.toml --cluster {NOBODY}", (2,), _install("cluster")),
    Call(
        f"noseleg find study.toml --wanted wanted.toml -o found --cluster {NOBODY}",
        (2,),
        _install("cluster"),
        writes_not=("found",),
    ),
)
AFTERWARDS = (Call("noseleg verify bare", says=("keep-out.stl",), never=("FAILS",)),)
WITH = (
    Call("noseleg handoff mine/study.toml -o full", never=("left out",), writes=("full/keep-out.step",)),
    Call("noseleg animate mine/study.toml --frames 4 -o full.mp4", writes=("full.mp4",)),
    Call("noseleg check solid.toml", (2,), ("not readable as STEP",), ("pip install",)),
    Call(f"noseleg tolerance mine/study.toml --cluster {NOBODY}", (2,), ("no scheduler answers",), ("pip install",)),
)
FINALLY = (Call("noseleg verify full", says=("good  keep-out.step",), never=("FAILS",)),)
REVIEW = (
    Call(
        "noseleg review study.toml -o review",
        (1,),
        never=("left out",),
        writes=tuple(f"review/{n}" for n in ("review.html", "review.pdf", "retraction.mp4", "keep-out.step")),
    ),
)
"""The whole of it, with every extra: half a minute more."""


@dataclass(frozen=True)
class Place:
    """An environment, and a folder away from the checkout in which its commands run."""

    programs: Path
    folder: Path

    def surroundings(self) -> dict[str, str]:
        """Nothing of the caller's: no path to an ffmpeg, no home with settings, no window."""
        home = self.folder / "home"
        home.mkdir(exist_ok=True)
        return {"PATH": str(self.programs), "HOME": str(home), "LANG": "C.UTF-8", "OMP_NUM_THREADS": "1"}

    def words(self, line: str) -> list[str]:
        program, *rest = line.split()
        return [str(self.programs / program), *rest]

    def faults(self, calls: tuple[Call, ...]) -> list[str]:
        """Two calls at a time; what each did otherwise than it must."""
        with ThreadPoolExecutor(2) as pair:
            return [
                f"{c.line}: {fault}"
                for c, found in zip(calls, pair.map(self._judged, calls), strict=True)
                for fault in found
            ]

    def _judged(self, call: Call) -> list[str]:
        words = self.words(call.line) if call.before is None else [str(self.programs / "python"), "-c", call.before]
        done = subprocess.run(
            words, cwd=self.folder, env=self.surroundings(), capture_output=True, text=True, timeout=LONGEST
        )
        said = done.stdout + done.stderr
        faults = [] if done.returncode in call.codes else [f"exit code {done.returncode}, expected {call.codes}"]
        faults += [f"does not say {w!r}" for w in call.says if w not in said]
        faults += [f"says {w!r}" for w in (*call.never, "Traceback") if w in said]
        faults += [f"does not write {n}" for n in call.writes if not self._holds(n)]
        faults += [f"writes {n}" for n in call.writes_not if (self.folder / n).exists()]
        return [*faults, said[-1500:]] if faults else []

    def _holds(self, name: str) -> bool:
        path = self.folder / name
        return path.is_file() and path.stat().st_size > 0

    def served(self) -> list[str]:
        """The board answers a browser of this machine, and ends when it is told to."""
        server = subprocess.Popen(
            self.words("noseleg board --web mine/study.toml"),
            cwd=self.folder,
            env={**self.surroundings(), "PYTHONUNBUFFERED": "1"},
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        )
        watch = _ended_after(server, LONGEST)
        try:
            assert server.stdout is not None
            said = (re.search(r"http://\S+", line) for line in server.stdout)
            address = next((found[0] for found in said if found), "")
            page = urlopen(address, timeout=30).read() if address else b""
        finally:
            server.send_signal(signal.SIGTERM)
            code = server.wait(timeout=30)
            watch.cancel()
        faults = [] if b"<html" in page.lower() else [f"board --web: no page at {address!r}"]
        return faults + ([] if code == 0 else [f"board --web: exit code {code} when told to end, expected 0"])


def _ended_after(process: subprocess.Popen[str], seconds: float) -> threading.Timer:
    """End ``process`` should it say nothing for so long."""
    timer = threading.Timer(seconds, process.kill)
    timer.daemon = True
    timer.start()
    return timer
