"""Commands that try many designs: trade."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from linkage.cli.crews import Workers, crew
from linkage.cli.shared import GOOD, IMPOSSIBLE, Changes, StudyFile, app, changed, progress, ready, say, told


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

    Every point is solved in full; says where every finding is good.
    """
    ready(output)
    with told():
        from linkage.report.trade_study import trade_study

        changes = changed(set_)
        with crew(workers) as team, progress() as tell:
            done = trade_study(study, vary, changes, result or [], team, tell)
    say(done.lines)
    if output is not None:
        with told():
            say(done.write(output))
    raise typer.Exit(GOOD if done.trade.computed.any() else IMPOSSIBLE)
