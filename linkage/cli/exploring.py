"""Commands that try many designs: trade."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from linkage.cli.crews import Workers, crew
from linkage.cli.shared import (
    GOOD,
    IMPOSSIBLE,
    INTERRUPTED,
    WRONG_INPUT,
    Changes,
    StudyFile,
    app,
    changed,
    progress,
    ready,
    say,
    told,
)


@app.command()
def trade(
    study: StudyFile,
    vary: Annotated[
        list[str],
        typer.Option(
            "--vary",
            help="number to vary: PATH=LOW:HIGH:COUNT or PATH=VALUE,VALUE,...; once or twice",
            metavar="PATH=VALUES",
        ),
    ],
    output: Annotated[
        Path | None, typer.Option("--output", "-o", help="folder for tables and pictures", metavar="DIR")
    ] = None,
    result: Annotated[
        list[str] | None,
        typer.Option(
            "--result", help="what to watch: a headline number, or part of a finding's name; repeat", metavar="NAME"
        ),
    ] = None,
    workers: Workers = None,
    set_: Changes = None,
) -> None:
    """Try many values of one or two numbers.

    Every point is solved in full; says where every finding is good. Exit code 0 if a point could be computed, 2 if
    every point is wrong, 3 if none can be computed.
    """
    ready(output)
    with told():
        from linkage.report.trade_study import trade_study

        changes = changed(set_)
        with crew(workers) as team, progress() as tell:
            done = trade_study(study, vary, changes, result or [], team, tell)
    say(done.lines)
    if not done.trade.computed.any() and done.trade.stopped:
        raise typer.Exit(INTERRUPTED)
    if output is not None:
        with told():
            say(done.write(output))
    raise typer.Exit(GOOD if done.trade.computed.any() else WRONG_INPUT if done.wrong else IMPOSSIBLE)
