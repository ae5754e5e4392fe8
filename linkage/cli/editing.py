"""Commands that edit a study: board."""

from __future__ import annotations

from typing import Annotated

import typer

from linkage.cli.shared import Changes, StudyFile, app, changed, say, told


@app.command()
def board(
    study: StudyFile,
    set_: Changes = None,
    web: Annotated[bool, typer.Option("--web", help="in a browser of this machine instead of a window")] = False,
    port: Annotated[int, typer.Option(help="port for --web; 0 takes a free one", min=0, max=65535, metavar="N")] = 0,
    dark: Annotated[bool, typer.Option("--dark", help="light lines on a dark ground")] = False,
) -> None:
    """Move pins by hand and see what follows.

    Everything that depends on a pin is seen at once; saving writes back into the study's file and keeps its comments.
    """
    with told():
        from linkage.drawing.board.opening import run_board

        run_board(study, changed(set_), web, port, dark, say)
