"""Springs for tests, numbers of their own."""

from __future__ import annotations

from typing import Any

NOSE_STRUT = [[0, 0], [600, 0], [900, 30], [1200, 62], [2000, 110], [4000, 140]]
SPRINGS: dict[str, Any] = {
    "nose_strut": {"curve": NOSE_STRUT, "source": "invented"},
    "nose_tyre": {"curve": [[0, 0], [1200, 32], [4000, 55]], "source": "invented"},
    "main_strut": {"rate": 60, "source": "invented"},
    "main_tyre": {"rate": 150, "source": "invented"},
    "main_drawn_load": 2700,
}


def as_drawn(stroke_static: float, tyre_deflection: float) -> dict[str, Any]:
    """Springs that give just what the study draws, whatever the load: the settled stance must be the drawn one."""
    return {
        "nose_strut": {"curve": [[0, 0], [1, stroke_static], [1e6, stroke_static]], "source": "test"},
        "nose_tyre": {"curve": [[0, 0], [1, tyre_deflection], [1e6, tyre_deflection]], "source": "test"},
        "main_strut": {"curve": [[0, 0], [1, 80], [1e6, 80]], "source": "test"},
        "main_drawn_load": 2700,
    }
