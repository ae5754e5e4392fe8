"""The command. Thin: reads arguments, calls one function, prints. Heavy imports live inside the commands."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from linkage.document.reader import Source
    from linkage.solution import Solution

app = typer.Typer(
    name="noseleg",
    help="Fold a nose gear into an engine bay. Preliminary study only: a licensed engineer and your authority decide.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)

StudyFile = Annotated[Path, typer.Argument(help="study document, TOML", metavar="STUDY")]
OutputDir = Annotated[Path, typer.Option("--output", "-o", help="directory to write into", metavar="DIR")]
Changes = Annotated[
    list[str] | None,
    typer.Option("--set", help="change a value first, such as gear.leg.swing_up=90", metavar="PATH=VALUE"),
]

GOOD, SHORT, WRONG_INPUT, IMPOSSIBLE = 0, 1, 2, 3


@app.command()
def check(study: StudyFile, set_: Changes = None) -> None:
    """Solve everything and print the findings, worst first. Exit code 0 good, 1 short, 2 bad document, 3 impossible."""
    solution = _solve(study, set_, closely=False)
    from linkage.report.terminal import findings_table

    typer.echo(findings_table(solution))
    raise typer.Exit(GOOD if solution.passed else SHORT)


@app.command()
def review(study: StudyFile, output: OutputDir, set_: Changes = None) -> None:
    """Solve everything and write results, pictures, animation and keep-out files for the design review."""
    solution = _solve(study, set_)
    from linkage.report.review import write_review
    from linkage.report.terminal import findings_table

    with _told(), progress() as tell:
        written = write_review(solution, output, tell)
    solution = written.solution
    typer.echo(findings_table(solution))
    typer.echo("")
    for line in written.lines():
        typer.echo(line)
    raise typer.Exit(GOOD if solution.passed else SHORT)


@app.command()
def handoff(
    study: StudyFile,
    output: OutputDir,
    against: Annotated[
        Path | None, typer.Option("--against", help="older hand-off to compare with", metavar="OLDDIR")
    ] = None,
    set_: Changes = None,
) -> None:
    """Write the keep-out as STEP, STL, GLB, DXF, tables and JSON with a manifest; compare with an older hand-off."""
    solution = _solve(study, set_)
    from linkage.report.hand_over import write_hand_over

    with _told(), progress() as tell:
        lines = write_hand_over(solution, output, against, tell)
    typer.echo("\n".join(lines))


@app.command()
def animate(
    study: StudyFile,
    output: Annotated[Path, typer.Option("--output", "-o", help=".mp4, .gif, .webp, or a directory for PNG frames")],
    frames: Annotated[int, typer.Option(help="number of frames", min=2, max=5000)] = 120,
    fps: Annotated[float, typer.Option(help="frames per second", min=1, max=120)] = 25.0,
    size: Annotated[str, typer.Option(help="width x height in pixels")] = "1280x720",
    dark: Annotated[bool, typer.Option("--dark", help="light lines on a dark ground")] = False,
    clip: Annotated[str, typer.Option(help="retraction or extension (emergency, in real time)")] = "retraction",
    set_: Changes = None,
) -> None:
    """Write an animation of the gear: side view, front view, readouts, and the curves of force and gap."""
    solution = _solve(study, set_)
    from linkage.report.clips import write_clip

    with _told(), progress() as tell:
        write_clip(solution, output, frames, fps, size, dark, clip, tell)
    typer.echo(f"wrote {output}")


@app.command()
def compare(
    first: Annotated[Path, typer.Argument(help="study before", metavar="STUDY_A")],
    second: Annotated[Path, typer.Argument(help="study after", metavar="STUDY_B")],
    output: Annotated[
        Path | None, typer.Option("--output", "-o", help="also write an overlay drawing and a page", metavar="DIR")
    ] = None,
) -> None:
    """Say what changed from one study to another: findings, gaps, loadings. Exit code 1 if a finding got short."""
    a, b = _solve(first, None), _solve(second, None)
    from linkage.report.compare import compare as contrast
    from linkage.report.compare import lines

    difference = contrast(a, b)
    typer.echo("\n".join(lines(difference)))
    if output is not None:
        from linkage.report.compare_page import write_comparison

        with _told():
            typer.echo(write_comparison(a, b, difference, output))
    raise typer.Exit(SHORT if difference.newly_short else GOOD)


@app.command()
def verify(
    directory: Annotated[Path, typer.Argument(help="hand-off or review directory", metavar="DIR")],
    study: Annotated[Path | None, typer.Option("--study", help="study it should come from", metavar="STUDY")] = None,
) -> None:
    """Read every file of a hand-off again; compare areas, volumes, bounds, units, hashes. Exit code 1 if any fails."""
    with _told():
        from linkage.handoff.verify import verify as compare

        checks = compare(directory, study)
    for item in checks:
        word = {True: "good", False: "FAILS", None: "open"}[item.passed]
        wanted = f" (expected {item.expected})" if item.passed is False else ""
        typer.echo(f"{word:<6}{item.subject}: {item.found}{wanted}")
    raise typer.Exit(SHORT if any(item.passed is False for item in checks) else GOOD)


@app.command()
def starter(directory: Annotated[Path, typer.Argument(help="directory to create", metavar="DIR")]) -> None:
    """Write a commented study to begin from."""
    from linkage.report.starter import write_starter

    with _told():
        path = write_starter(directory)
    typer.echo(f"wrote {path}; next: noseleg check {path}")


@app.command()
def schema() -> None:
    """Print the JSON Schema of the study document."""
    import json

    from linkage.document.reader import schema as study_schema

    typer.echo(json.dumps(study_schema(), indent=1))


def _solve(path: Path, changes: list[str] | None, closely: bool = True) -> Solution:
    with _told():
        from linkage.solution import solve

        source = _read(path, changes)
        with progress() as tell:
            return solve(source, tell, closely)


def _read(path: Path, changes: list[str] | None) -> Source:
    from linkage.document.reader import read

    return read(path, dict(_change(c) for c in changes or []))


def _change(text: str) -> tuple[str, Any]:
    """``path=value``, the value written as in TOML; anything else is taken as a text."""
    import tomllib

    from linkage.errors import DocumentError, Fault

    field, equals, value = text.partition("=")
    if not equals:
        raise DocumentError([Fault("--set", repr(text), "PATH=VALUE, such as gear.leg.swing_up=90")], "command line")
    try:
        return field.strip(), tomllib.loads(f"value = {value}")["value"]
    except tomllib.TOMLDecodeError:
        return field.strip(), value.strip()


@contextmanager
def _told() -> Iterator[None]:
    """Bad news as one message and an exit code instead of a traceback."""
    from linkage.errors import DocumentError, LinkageError, MechanismError

    try:
        yield
    except DocumentError as err:
        typer.echo(str(err), err=True)
        raise typer.Exit(WRONG_INPUT) from err
    except MechanismError as err:
        typer.echo(f"cannot be computed: {err}", err=True)
        raise typer.Exit(IMPOSSIBLE) from err
    except LinkageError as err:  # files that cannot be written or read as promised
        typer.echo(str(err), err=True)
        raise typer.Exit(WRONG_INPUT) from err


@contextmanager
def progress() -> Iterator[Callable[[str], None]]:
    """A bar that names the step at work; silent where there is no terminal."""
    if not sys.stderr.isatty():
        yield lambda step: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    columns = (TextColumn("{task.description}", markup=False), BarColumn(), TimeElapsedColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("starting", total=None)
        yield lambda step: bar.update(task, description=step)


def main() -> None:
    """Entry point of the command."""
    app()
