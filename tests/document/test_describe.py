"""docs/fields.md is what the models say today."""

from __future__ import annotations

from linkage.document.describe import fields_text
from tests.studies import ROOT


def test_fields_page_is_current() -> None:
    filed = (ROOT / "docs" / "fields.md").read_text(encoding="utf-8")
    assert filed == fields_text(), "run: python -m linkage.document.describe > docs/fields.md"
