"""Results of a trade study in words: headline keys and margins of findings, each with its unit."""

from __future__ import annotations

UNITS = {"kg_mm": "kg mm", "mm2": "mm2", "mm3": "mm3", "mm": "mm", "deg": "deg", "n": "N"}


def unit_of(name: str) -> str:
    """Unit of a result; empty where it has none."""
    if "(" in name:
        return name.rpartition("), ")[2] if "), " in name else ""
    return next((unit for suffix, unit in UNITS.items() if name.endswith(f"_{suffix}")), "")


def named(name: str) -> str:
    """A headline number, or the margin of a finding, with its unit."""
    unit = unit_of(name)
    if "(" in name:
        text = f"margin of {subject(name)}"
    else:
        text = name.removesuffix(next((f"_{s}" for s in UNITS if name.endswith(f"_{s}")), "")).replace("_", " ")
    return f"{text}, {unit}" if unit else text


def subject(name: str) -> str:
    """What a finding is about, from the name of its margin."""
    return name.rpartition(" (")[0]
