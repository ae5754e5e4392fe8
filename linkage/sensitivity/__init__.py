"""Which dimension moves which result: exact derivatives, and the tolerances that the findings allow."""

from linkage.sensitivity.dimensions import Dimension, dimensions
from linkage.sensitivity.table import Line, Row, Sensitivity, sensitivity

__all__ = ["Dimension", "Line", "Row", "Sensitivity", "dimensions", "sensitivity"]
