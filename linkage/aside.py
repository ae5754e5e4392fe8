"""What of a solution needs nothing but the gear and its stroke, so that another process may work it out meanwhile."""

from __future__ import annotations

from dataclasses import dataclass

from linkage.document.study import Study
from linkage.extension import EmergencyExtension, extension
from linkage.gear import Gear
from linkage.states import cases
from linkage.stroke import Stroke, gear_and_stroke
from linkage.sweep import Swept, sweep
from linkage.tracks import Bends


@dataclass(frozen=True)
class Aside:
    """``swept``: without the hot zone, which is of the bay; ``fall``: the emergency extension, None if none is asked
    for."""

    swept: Swept
    fall: EmergencyExtension | None


def aside(study: Study, gear: Gear, stroke: Stroke, closely: bool = True, bends: Bends | None = None) -> Aside:
    """``closely``: see `linkage.extension.extension`, ``bends``: see `linkage.tracks.Bends`. Raises
    ``MechanismError``."""
    fall = extension(study, gear, stroke, closely)
    return Aside(sweep(study, gear, stroke, cases(study, gear, stroke), bends), fall)


def aside_of(study: Study, closely: bool = True) -> Aside:
    """The same from the study alone: it may begin as soon as that is read. Raises ``MechanismError`` also where there
    is no gear or stroke."""
    return aside(study, *gear_and_stroke(study), closely)
