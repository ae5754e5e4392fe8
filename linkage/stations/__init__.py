"""Where may the wheels be? Stations of the nose wheel, and of the mains, at which every loading keeps every limit.

A wheel is moved along the static ground line, so that the aircraft keeps its attitude: its leg is thought longer or
shorter to suit. Moving a wheel moves only its ground contact; the mass of the gear stays where it is.
"""

from __future__ import annotations

from linkage.document.study import Study
from linkage.loading import LoadModel
from linkage.stance import Ground, Standing
from linkage.stations.intervals import Bound, Fixed, Interval, Stations, mains_interval, nose_interval
from linkage.stations.plan import Line, StationPlan, station_plan
from linkage.stations.site import Site, site

__all__ = [
    "Bound",
    "Fixed",
    "Interval",
    "Line",
    "Site",
    "StationPlan",
    "Stations",
    "mains_interval",
    "nose_interval",
    "site",
    "station_plan",
    "stations",
]


def stations(study: Study, model: LoadModel, static: Ground, standing: Standing) -> Stations:
    """Both intervals, each with the other wheel where the study has it."""
    place = site(study, model, static, standing)
    return Stations(nose_interval(place), mains_interval(place))
