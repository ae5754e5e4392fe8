"""Fold a nose gear into an engine bay: load share, linkage, loads, swept volume and clearance."""

__version__ = "0.1.0"
