"""The command that says which dimension moves which result: sensitivity."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from linkage.cli.shared import Changes, StudyFile, app, put, ready, say, solved, told


@app.command()
def sensitivity(
    study: StudyFile,
    result: Annotated[
        list[str] | None,
        typer.Option(
            "--result", help="one result, such as nose_share_min or 'gap to firewall'; repeat", metavar="NAME"
        ),
    ] = None,
    csv: Annotated[bool, typer.Option("--csv", help="print every derivative as CSV instead")] = False,
    output: Annotated[
        Path | None, typer.Option("--output", "-o", help="folder for tables and charts", metavar="DIR")
    ] = None,
    set_: Changes = None,
) -> None:
    """Say which dimension moves which result.

    And by how much each alone may vary before something falls short. Exit code 0 whatever the findings are.
    """
    ready(output)
    solution = solved(study, set_, closely=False)
    from linkage.report.sensitivity_files import lines, sensitivity_csv, write_sensitivity
    from linkage.sensitivity import sensitivity as derivatives

    with told():
        found = derivatives(solution, result or ())
    if csv:
        put(sensitivity_csv(found))
    else:
        say(lines(found))
    if output is not None:
        with told():
            say(write_sensitivity(found, solution, output, set_ or ()), err=csv)
