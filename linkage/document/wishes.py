"""A study with its wishes: its own table [wanted], or one in a file beside it."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from linkage.document.reader import Source, plain, read
from linkage.errors import DocumentError, Fault


def read_with_wishes(
    path: Path | str, wanted: Path | str | None = None, changes: Mapping[str, Any] | None = None
) -> Source:
    """Read a study that says what is wanted. ``wanted``: a TOML file with the table [wanted] and nothing else, in the
    units of the study; it takes the place of the study's own. Raises ``DocumentError``."""
    more = dict(changes or {})
    if wanted is not None:
        place = Path(wanted)
        _, table = plain(place)
        if set(table) != {"wanted"}:
            extra = ", ".join(sorted(set(table) - {"wanted"})) or "no [wanted]"
            raise DocumentError(
                [Fault(str(place), f"holds {extra}", "the table [wanted] and nothing else")], place.name
            )
        more = {"wanted": table["wanted"], **more}
    try:
        source = read(path, more)
    except DocumentError as err:
        if wanted is not None and all(f.field.partition(".")[0] == "wanted" for f in err.faults):
            raise DocumentError(err.faults, Path(wanted).name) from err
        raise
    if source.study.wanted is None:
        raise DocumentError(
            [Fault("wanted", "is missing", "a table [wanted] in the study or a file of it beside it")], source.path.name
        )
    return source
