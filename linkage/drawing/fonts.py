"""Where the letters of the pictures come from, for typesetting beside them."""

from __future__ import annotations

from pathlib import Path


def folder() -> Path:
    """The folder of the DejaVu fonts that come with matplotlib: the same on every machine."""
    import matplotlib

    return Path(matplotlib.get_data_path()) / "fonts" / "ttf"
