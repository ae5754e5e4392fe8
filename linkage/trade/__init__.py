"""Trade studies: one or two numbers of a study varied, every point by the full solver, nothing dropped."""

from linkage.trade.model import Point, Trade, Vary
from linkage.trade.run import run
from linkage.trade.vary import varies

__all__ = ["Point", "Trade", "Vary", "run", "varies"]
