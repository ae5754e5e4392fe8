"""The command that finds positions: find."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from linkage.cli.shared import GOOD, SHORT, Changes, OutputDir, StudyFile, app, change, ready, told

if TYPE_CHECKING:
    from concurrent.futures import Executor

MOST = 1e10
"""Candidates in one search: days of work."""


@app.command()
def find(
    study: StudyFile,
    output: OutputDir,
    wanted: Annotated[
        Path | None,
        typer.Option("--wanted", help="file that says what is wanted, if the study does not", metavar="FILE"),
    ] = None,
    candidates: Annotated[
        float, typer.Option(help="how many designs to try, such as 4e6", min=1, max=MOST, metavar="N")
    ] = 4e6,
    seed: Annotated[int, typer.Option(help="the same seed gives the same designs", min=0, metavar="N")] = 1,
    keep: Annotated[int, typer.Option(help="how many designs to find", min=1, max=200, metavar="N")] = 12,
    workers: Annotated[
        int | None,
        typer.Option(
            "--workers", min=1, max=256, help="how many work at once; left out: one for each core", metavar="N"
        ),
    ] = None,
    cluster: Annotated[
        str | None,
        typer.Option("--cluster", help="work on a Dask cluster: address of its scheduler", metavar="ADDRESS"),
    ] = None,
    set_: Changes = None,
) -> None:
    """Find pins that put the wheel where you want it.

    Writes a study for each design found, and why the others were refused. Exit code 0 found, 1 nothing found.
    """
    ready(output)
    with told():
        from linkage.document.wishes import read_with_wishes
        from linkage.report.found import lines, write_found
        from linkage.search.find import find as search

        changes = dict(change(c) for c in set_ or [])
        source = read_with_wishes(study, wanted, changes)
        with _crew(workers, cluster) as crew, _bar() as tell:
            found = search(source, changes, _whole(candidates), seed, keep, crew, tell)
        typer.echo("\n".join(lines(found)))
        typer.echo(write_found(found, source, output))
    raise typer.Exit(GOOD if found.members else SHORT)


def _whole(candidates: float) -> int:
    """A number such as 4e6."""
    from linkage.errors import DocumentError, Fault

    if candidates != candidates:
        raise DocumentError([Fault("--candidates", "nan", "a number such as 4e6")], "command line")
    return int(candidates)


@contextmanager
def _crew(workers: int | None, cluster: str | None) -> Iterator[Executor | None]:
    """Processes of this machine, or a cluster."""
    if cluster is not None:
        from linkage.cluster import connect

        far = connect(cluster)
        for line in far.cautions:
            typer.echo(f"caution: {line}", err=True)
        with far:
            yield far
        return
    from linkage.crew import Workers

    with Workers(workers) as crew:
        yield crew


@contextmanager
def _bar() -> Iterator[Callable[[str, int, int, float], None]]:
    """A bar with the rate; silent where there is no terminal."""
    if not sys.stderr.isatty():
        yield lambda step, done, total, rate: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    columns = (
        TextColumn("{task.description}", markup=False),
        BarColumn(),
        TextColumn("{task.fields[rate]}", markup=False),
        TimeElapsedColumn(),
    )
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("starting", total=None, rate="")

        def tell(step: str, done: int, total: int, rate: float) -> None:
            pace = f"{60 * rate / 1e6:.2f} million a minute" if step == "screening" else f"{rate:.1f} designs/s"
            bar.update(task, description=step, completed=done, total=total, rate=pace)

        yield tell
