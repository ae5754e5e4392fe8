"""Which dimension moves which result: exact derivatives, and the tolerances that the findings allow."""

from linkage.sensitivity.dimensions import Dimension, dimensions
from linkage.sensitivity.table import WORST, Line, Row, Sensitivity, sensitivity

__all__ = ["WORST", "Dimension", "Line", "Row", "Sensitivity", "dimensions", "sensitivity"]
