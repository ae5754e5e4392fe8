"""Commands to begin with: starter, schema."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from linkage.cli.shared import app, put, say, told


@app.command()
def starter(directory: Annotated[Path, typer.Argument(help="folder to create", metavar="DIR")]) -> None:
    """Write a commented study to begin from."""
    from linkage.report.starter import write_starter

    with told():
        path = write_starter(directory)
    say(f"wrote {path}; next: noseleg check {path}")


@app.command()
def schema() -> None:
    """Print the JSON Schema of a study.

    For editors that complete and check a study while it is typed.
    """
    import json

    from linkage.document.reader import schema as study_schema

    put(json.dumps(study_schema(), indent=1) + "\n")
