"""The command. Thin: reads arguments, calls one function, prints. Heavy imports live inside the commands.

A module adds its commands to `linkage.cli.shared.app` when it is imported. To add one: a module here, a name below;
`noseleg --help` lists the commands in the order of these imports.
"""

import os
import sys

# isort: off
from linkage.cli import judging as judging
from linkage.cli import writing as writing
from linkage.cli import exploring as exploring
from linkage.cli import sensitivities as sensitivities
from linkage.cli import tolerances as tolerances
from linkage.cli import editing as editing
from linkage.cli import finding as finding
from linkage.cli import beginning as beginning

# isort: on
from linkage.cli.shared import WRONG_INPUT, app, ended, put
from linkage.process import set_up

__all__ = ["app", "main"]


def main() -> None:
    """Entry point of the command."""
    set_up()
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")  # looked for among all that is installed
    try:
        app()
    except SystemExit as end:
        sys.exit(ended(end.code))
    except OSError as err:  # of help and usage, which the library prints itself
        put(f"cannot print: {err.strerror or err}\n", err=True)
        sys.exit(WRONG_INPUT)
