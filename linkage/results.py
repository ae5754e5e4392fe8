"""Everything computed from one study, before it is judged."""

from __future__ import annotations

from dataclasses import dataclass

from linkage.actuation import Actuation
from linkage.actuation.drive import Drive
from linkage.actuation.sizing import Sizing
from linkage.actuation.travel import CgTravel
from linkage.clearance import Clearance
from linkage.document.study import Study
from linkage.doors import DoorMotion
from linkage.end_stops import EndStops
from linkage.extension import EmergencyExtension
from linkage.gear import Gear
from linkage.loading import LoadShare
from linkage.loading.review import LoadReview
from linkage.loads import GroundLoads
from linkage.lock import Lock
from linkage.obstacles import Obstacle
from linkage.stance import Ground, Standing
from linkage.state_gaps import StateReview
from linkage.stations import Stations
from linkage.steering import Steering
from linkage.stroke import Stroke
from linkage.sweep import Swept


@dataclass(frozen=True)
class Results:
    """Each field is documented at its own class."""

    study: Study
    gear: Gear
    stroke: Stroke
    grounds: tuple[Ground, ...]
    share: LoadShare
    moment_shift: complex
    steering: Steering
    loads: GroundLoads
    actuation: Actuation
    swept: Swept
    clearance: Clearance
    states: StateReview
    obstacles: tuple[Obstacle, ...]
    loadings: LoadReview
    standing: Standing
    stations: Stations
    lock: Lock
    end_stops: EndStops
    doors: tuple[DoorMotion, ...]
    drive: Drive
    sizing: Sizing
    cg_travel: CgTravel
    extension: EmergencyExtension | None
