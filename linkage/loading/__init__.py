"""Loading: what may be aboard, what that does to CG and wheel loads, exactly and over every loading."""

from linkage.loading.burn import BurnPath, burn_path, topped_up
from linkage.loading.choices import Rows, choices
from linkage.loading.combinations import BaggageMap, baggage_map
from linkage.loading.extremes import (
    CgRange,
    Extreme,
    GroundRange,
    cg_range,
    extreme,
    ground_range,
    tip_back,
    turnover,
)
from linkage.loading.forms import (
    Linear,
    Stance2,
    constant_form,
    mass_form,
    moment_bl_form,
    moment_form,
)
from linkage.loading.model import LoadCase, LoadItem, LoadModel, case_faults
from linkage.loading.polygon import Region, band_fraction, loading_region
from linkage.loading.share import LoadShare, load_share
from linkage.loading.weighing import Correction, Reading, Weighed, weigh

__all__ = [
    "BaggageMap",
    "BurnPath",
    "CgRange",
    "Correction",
    "Extreme",
    "GroundRange",
    "Linear",
    "LoadCase",
    "LoadItem",
    "LoadModel",
    "LoadShare",
    "Reading",
    "Region",
    "Rows",
    "Stance2",
    "Weighed",
    "baggage_map",
    "band_fraction",
    "burn_path",
    "case_faults",
    "cg_range",
    "choices",
    "constant_form",
    "extreme",
    "ground_range",
    "load_share",
    "loading_region",
    "mass_form",
    "moment_bl_form",
    "moment_form",
    "tip_back",
    "topped_up",
    "turnover",
    "weigh",
]
