"""Write docs/validation.md to standard output."""

from __future__ import annotations

from linkage.report.validation import markdown, validation

print(markdown(validation()), end="")
