"""A tolerance study as tables on the terminal, CSV, JSON, and a page to print."""

from linkage.report.tolerance.files import write_tolerance
from linkage.report.tolerance.tables import Table, tables, text

__all__ = ["Table", "tables", "text", "write_tolerance"]
