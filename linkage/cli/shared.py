"""What every command shares: the application, its options, and how bad news is told."""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NoReturn, Protocol

import typer

if TYPE_CHECKING:
    from linkage.document.reader import Source
    from linkage.solution import Solution

app = typer.Typer(
    name="noseleg",
    help="Fold a nose gear into an engine bay: load share, linkage, loads, lock, gaps and a keep-out to rely on.\n\n"
    "Begin with: noseleg starter my-gear, then noseleg check my-gear/study.toml; noseleg COMMAND --help tells more."
    "\n\nPreliminary study only: a licensed engineer and your authority decide.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"]},
)


def _version(wanted: bool) -> None:
    if wanted:
        from linkage import __version__

        put(f"noseleg {__version__}\n")
        raise typer.Exit


@app.callback()
def _all_commands(
    version: Annotated[
        bool, typer.Option("--version", help="print the version and exit", callback=_version, is_eager=True)
    ] = False,
) -> None: ...


StudyFile = Annotated[Path, typer.Argument(help="the study, a TOML file", metavar="STUDY")]
OutputDir = Annotated[Path, typer.Option("--output", "-o", help="folder to write into", metavar="DIR")]
Changes = Annotated[
    list[str] | None,
    typer.Option(
        "--set",
        help="change a value of the study first, such as gear.leg.swing_up=90; as often as you like",
        metavar="PATH=VALUE",
    ),
]

Watching = Annotated[bool, typer.Option("--watch", help="look again whenever the file is saved; Ctrl-C ends")]

_NUMBER = re.compile(r"[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d+)?", re.ASCII)
"""As people write numbers; TOML takes neither ``.5`` nor ``5.`` nor ``05``."""

GOOD, SHORT, WRONG_INPUT, IMPOSSIBLE = 0, 1, 2, 3
STEP = 40
"""Columns for the name of a step."""
INTERRUPTED = 130
"""Ctrl-C before there was anything to tell: 128 + the signal's number, as shells say it."""


def solved(path: Path, changes: list[str] | None, closely: bool = True) -> Solution:
    with told():
        return solved_source(source_of(path, changes), closely)


def solved_source(source: Source, closely: bool) -> Solution:
    """Solve with two processors: what may be done aside begins before the solver is loaded."""
    from linkage.aside import aside_of
    from linkage.twin import meanwhile

    with meanwhile(lambda: aside_of(source.study, closely)) as begun:
        from linkage.solution import solve

        with steps() as tell:
            return solve(source, tell, closely, begun)


def ready(folder: Path | None) -> None:
    """Look before the work begins whether anything can be written into ``folder``, if there is one."""
    from linkage.files import check_room

    if folder is not None:
        with told():
            check_room(folder)


def check_folder(path: Path, within: str, option: str, expected: str) -> None:
    """Look before the work begins whether a folder that is to be read is there, with that file in it, if one is
    named."""
    from linkage.errors import DocumentError, Fault

    with told():
        if not path.is_dir():
            found = "is a file, no folder" if path.exists() else "is not there"
            raise DocumentError([Fault(f"{option} {path}", found, expected)], "command line")
        if within and not (path / within).is_file():
            raise DocumentError([Fault(f"{option} {path}", f"holds no {within}", expected)], "command line")


def source_of(path: Path, changes: list[str] | None) -> Source:
    from linkage.document.reader import read

    return read(path, changed(changes))


def changed(texts: Iterable[str] | None) -> dict[str, Any]:
    """What ``--set`` was given, in its order; of two for one path the later."""
    found: dict[str, Any] = {}
    for text in texts or ():
        field, value = change(text)
        found.pop(field, None)
        found[field] = value
    return found


def change(text: str) -> tuple[str, Any]:
    """``path=value``, the value written as in TOML: number, list, table, ``true``; anything else is taken as a text."""
    import tomllib

    from linkage.document.ways import divided
    from linkage.errors import DocumentError, Fault

    field, equals, value = divided(text)
    if not equals or not field.strip():
        raise DocumentError([Fault("--set", repr(text), "PATH=VALUE, such as gear.leg.swing_up=90")], "command line")
    try:
        table = tomllib.loads(f"value = {value}")
    except tomllib.TOMLDecodeError as err:
        if value.strip()[:1] in ("[", "{", '"', "'"):
            wanted = (
                "a value as in TOML, such as [1140, 550], { along = 180 } or 'a text' (mind the quotes of the shell)"
            )
            raise DocumentError(
                [Fault(f"--set {field.strip()}", f"{value.strip()!r}: {err}", wanted)], "command line"
            ) from err
        return field.strip(), float(value) if _NUMBER.fullmatch(value.strip()) else value.strip()
    if len(table) != 1:
        raise DocumentError([Fault(f"--set {field.strip()}", repr(value), "one value in one line")], "command line")
    return field.strip(), table["value"]


def watched(
    path: Path,
    changes: list[str] | None,
    closely: bool,
    then: Callable[[Solution], Solution] = lambda solution: solution,
) -> NoReturn:
    """Solve, do ``then``, and again whenever the file is saved. Ctrl-C ends, with the exit code of the last look."""
    with told():
        pairs = changed(changes)
        from linkage.document.reader import read
        from linkage.errors import MechanismError
        from linkage.report.watch import Watch

    def look() -> Solution:
        return then(solved_source(read(path, pairs), closely))

    watch = Watch(path, look, say)
    with suppress(KeyboardInterrupt):
        watch.begin()
        watch.run()
    if watch.error is not None:
        raise typer.Exit(IMPOSSIBLE if isinstance(watch.error, MechanismError) else WRONG_INPUT)
    if watch.last is None:
        raise typer.Exit(INTERRUPTED)
    raise typer.Exit(GOOD if watch.last.passed else SHORT)


@contextmanager
def told() -> Iterator[None]:
    """Bad news as one message and an exit code instead of a traceback."""
    from linkage.errors import LinkageError, MechanismError

    try:
        yield
    except LinkageError as err:  # a wrong study, a gear that cannot be, files that cannot be written as promised
        say(err.lines, err=True)
        raise typer.Exit(IMPOSSIBLE if isinstance(err, MechanismError) else WRONG_INPUT) from err
    except OSError as err:  # a full disk, a folder that may not be written
        from linkage.files import lost

        say(lost(err), err=True)
        raise typer.Exit(WRONG_INPUT) from err


def say(lines: str | Iterable[str], err: bool = False) -> None:
    """Print a line, or some. The only way to the terminal for text with names of a study in it: what could steer the
    terminal is made harmless here."""
    from linkage.files import printable

    put("\n".join(printable(line) for line in ((lines,) if isinstance(lines, str) else lines)) + "\n", err)


def put(text: str, err: bool = False) -> None:
    """Print a text as it is. Work goes on where nobody reads any more (``noseleg find ... | head``), or where what is
    printed finds no room on a disk, which the exit code tells in the end (`ended`)."""
    try:
        typer.echo(text, nl=False, err=err)
    except OSError as fault:
        os.dup2(os.open(os.devnull, os.O_WRONLY), (sys.stderr if err else sys.stdout).fileno())
        if not err and not isinstance(fault, BrokenPipeError):
            _UNPRINTED.append(fault)
            put(f"cannot print: {fault.strerror or fault}\n", err=True)


_UNPRINTED: list[OSError] = []


def ended(code: Any) -> Any:
    """The exit code of a command: what it found, or that it could not be told."""
    return WRONG_INPUT if _UNPRINTED else code


class Tell(Protocol):
    """Say which step is at work, how much of it is done, and how fast."""

    def __call__(self, step: str, done: int | None = None, total: int | None = None, pace: str = "") -> None: ...


@contextmanager
def steps() -> Iterator[Callable[[str], None]]:
    """A line that names the step at work, for a second or two: a bar would take a tenth of that to load. Silent where
    there is no terminal."""
    if not sys.stderr.isatty():
        yield lambda step: None
        return

    def tell(step: str) -> None:
        sys.stderr.write(f"\r{step:<{STEP}}\r")
        sys.stderr.flush()

    try:
        yield tell
    finally:
        tell("")


@contextmanager
def progress() -> Iterator[Tell]:
    """A bar that names the step at work; silent where there is no terminal."""
    if not sys.stderr.isatty():
        yield lambda step, done=None, total=None, pace="": None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    from linkage.files import printable

    columns = (
        TextColumn("{task.description}", markup=False),
        BarColumn(),
        TextColumn("{task.fields[pace]}", markup=False),
        TimeElapsedColumn(),
    )
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("starting", total=None, pace="")

        def tell(step: str, done: int | None = None, total: int | None = None, pace: str = "") -> None:
            bar.update(task, description=printable(step), completed=done, total=total, pace=pace)

        yield tell
