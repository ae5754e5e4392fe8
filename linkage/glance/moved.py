"""One field of a study changed without reading the whole document again, refused by the same rules."""

from __future__ import annotations

from typing import Any

from linkage.document.revise import revised
from linkage.document.study import Study


def moved(study: Study, what: str, to: Any) -> Study:
    """The study with the field at a dotted path changed, such as ``gear.brace.upper_pin``.

    ``to`` is in the units in which a study holds its numbers once read: mm, kg, N, m/s, deg. Raises ``DocumentError``
    for everything that the reader of a file would refuse, and for a path that the study does not have.
    """
    return revised(study, {what: to})
