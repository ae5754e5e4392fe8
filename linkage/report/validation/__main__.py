"""Write docs/validation.md to standard output. An argument names the filed agreement with second engines."""

from __future__ import annotations

import json
import sys
from pathlib import Path

from linkage.report.validation import markdown, validation

filed = json.loads(Path(sys.argv[1]).read_text(encoding="utf-8")) if len(sys.argv) > 1 else None
print(markdown(validation(), filed), end="")
