"""A tolerance study as tables on the terminal, CSV, JSON, and a page to print."""

from linkage.report.tolerance.files import write_tolerance
from linkage.report.tolerance.tables import Table, lines, tables

__all__ = ["Table", "lines", "tables", "write_tolerance"]
