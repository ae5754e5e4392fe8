"""Commands that judge: check, compare, verify."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from linkage.cli.shared import (
    GOOD,
    SHORT,
    Changes,
    StudyFile,
    Watching,
    app,
    check_folder,
    ready,
    say,
    solved,
    told,
    watched,
)

MOST = 10
"""Gaps that compare names on a terminal, those that moved most."""


@app.command()
def check(study: StudyFile, set_: Changes = None, watch: Watching = False) -> None:
    """Judge a study and print every finding.

    Load share, linkage, loads, lock and gaps; the worst stands first. Exit code 0 all good, 1 some are short, 2 the
    study is wrong, 3 the gear cannot move.
    """
    if watch:
        watched(study, set_, closely=False)
    solution = solved(study, set_, closely=False)
    from linkage.report.terminal import findings_lines

    say(findings_lines(solution))
    raise typer.Exit(GOOD if solution.passed else SHORT)


@app.command()
def compare(
    first: Annotated[Path, typer.Argument(help="study before", metavar="STUDY_A")],
    second: Annotated[
        Path | None, typer.Argument(help="study after; left out: the first, changed by --set", metavar="STUDY_B")
    ] = None,
    output: Annotated[
        Path | None,
        typer.Option(
            "--output", "-o", help="folder for a page and a drawing of both gears, one over the other", metavar="DIR"
        ),
    ] = None,
    set_: Annotated[
        list[str] | None, typer.Option("--set", help="change a value of the study after; repeat", metavar="PATH=VALUE")
    ] = None,
    set_first: Annotated[
        list[str] | None,
        typer.Option("--set-first", help="change a value of the study before; repeat", metavar="PATH=VALUE"),
    ] = None,
) -> None:
    """Say what changed between two studies.

    Findings, gaps and loadings; with one study and --set, what that change does. Exit code 1 if a finding became short.
    """
    ready(output)
    a, b = solved(first, set_first), solved(second or first, set_)
    from linkage.report.compare import compare as contrast
    from linkage.report.compare import lines

    difference = contrast(a, b)
    say(lines(difference, MOST))
    if output is not None:
        from linkage.report.compare_page import write_comparison

        with told():
            say(write_comparison(a, b, difference, output))
    raise typer.Exit(SHORT if difference.newly_short else GOOD)


@app.command()
def verify(
    directory: Annotated[Path, typer.Argument(help="folder of a hand-off or a review", metavar="DIR")],
    study: Annotated[
        Path | None, typer.Option("--study", help="study that it should come from", metavar="STUDY")
    ] = None,
) -> None:
    """Read a hand-off again and check every file.

    Units, areas, volumes, bounds and SHA-256 are compared with the exact keep-out. Exit code 1 if anything fails.
    """
    check_folder(directory, "", "DIR", "a folder of a hand-off or a review")
    with told():
        from linkage.handoff.verify import verify as compare

        checks = compare(directory, study)
    for item in checks:
        word = {True: "good", False: "FAILS", None: "open"}[item.passed]
        wanted = f" (expected {item.expected})" if item.passed is False else ""
        say(f"{word:<6}{item.subject}: {item.found}{wanted}")
    raise typer.Exit(SHORT if any(item.passed is False for item in checks) else GOOD)
