"""The command about gears as built and as worn: tolerance."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path
from typing import Annotated, Any

import typer

from linkage.cli.shared import GOOD, Changes, StudyFile, app, progress, source_of, told


@app.command()
def tolerance(
    study: StudyFile,
    samples: Annotated[int, typer.Option("--samples", help="how many gears to build at random", metavar="N")] = 100_000,
    seed: Annotated[int, typer.Option("--seed", help="the same seed gives the same gears", metavar="N")] = 1,
    workers: Annotated[
        int | None, typer.Option("--workers", min=1, max=256, help="how many work at once; left out: one", metavar="N")
    ] = None,
    cluster: Annotated[
        str | None,
        typer.Option("--cluster", help="work on a Dask cluster: address of its scheduler", metavar="ADDRESS"),
    ] = None,
    output: Annotated[
        Path | None, typer.Option("--output", "-o", help="folder for the rig card, tables and charts", metavar="DIR")
    ] = None,
    set_: Changes = None,
) -> None:
    """Build gears as the shop would make them.

    At random within the tolerances of the study: does the knee lock, which gaps are left, how far may the pins wear.
    """
    with told(), progress() as tell, ExitStack() as open_:
        from linkage.tolerance import tolerance as judged

        source = source_of(study, set_)
        crew = _crew(workers, cluster, open_)
        found = judged(source, samples, seed, crew, lambda done, total, rate: tell(f"gears: batch {done} of {total}"))
    from linkage.report.tolerance import text, write_tolerance

    typer.echo(text(found))
    if output is not None:
        with told():
            typer.echo(write_tolerance(found, output))
    raise typer.Exit(GOOD)


def _crew(workers: int | None, cluster: str | None, open_: ExitStack) -> Any:
    """Who does the batches; None: this process."""
    from linkage.errors import DocumentError, Fault

    if workers is not None and cluster is not None:
        raise DocumentError([Fault("--workers", "given beside --cluster", "one of them")], "command line")
    if cluster is not None:
        from linkage.cluster import connect

        return open_.enter_context(connect(cluster))
    if workers is not None and workers > 1:
        from linkage.crew import Workers

        return open_.enter_context(Workers(workers))
    return None
