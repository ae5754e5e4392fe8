"""The command about gears as built and as worn: tolerance."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from linkage.cli.crews import Cluster, FewWorkers, crew
from linkage.cli.shared import GOOD, Changes, StudyFile, app, progress, ready, say, source_of, told


@app.command()
def tolerance(
    study: StudyFile,
    samples: Annotated[int, typer.Option("--samples", help="how many gears to build at random", metavar="N")] = 100_000,
    seed: Annotated[int, typer.Option("--seed", help="the same seed gives the same gears", metavar="N")] = 1,
    workers: FewWorkers = None,
    cluster: Cluster = None,
    output: Annotated[
        Path | None, typer.Option("--output", "-o", help="folder for the rig card, tables and charts", metavar="DIR")
    ] = None,
    set_: Changes = None,
) -> None:
    """Build gears as the shop would make them.

    At random within the tolerances of the study: does the knee lock, which gaps are left, how far may the pins wear.
    """
    ready(output)
    with told():
        from linkage.tolerance import tolerance as judged

        source = source_of(study, set_)
        alone = 1 if workers is None and cluster is None else workers
        with crew(alone, cluster) as team, progress() as tell:

            def show(done: int, total: int, rate: float) -> None:
                tell("gears", done, total, f"batch {done} of {total}")

            found = judged(source, samples, seed, team, show)
    from linkage.report.tolerance import lines, write_tolerance

    say(lines(found))
    if output is not None:
        with told():
            say(write_tolerance(found, output))
    raise typer.Exit(GOOD)
