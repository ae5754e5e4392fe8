"""Binary STL. The format has no unit of its own, so the header says it."""

from __future__ import annotations

import numpy as np

from linkage.handoff.solids import Mesh

HEADER_BYTES = 80


def stl_bytes(mesh: Mesh, study_sha256: str, changed: bool = False) -> bytes:
    """The mesh in mm, header ``UNITS=mm``. ``changed``: the study is not quite that file. Equal input gives equal
    bytes."""
    # A header that begins with "solid" would be taken for the text variant.
    told = f"binary UNITS=mm x=FS y=BL z=WL study={study_sha256[:16]}" + (" changed" if changed else "")
    header = told.encode("ascii", "replace")
    record = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("spare", "<u2")])
    rows = np.zeros(len(mesh.faces), dtype=record)
    corners = mesh.vertices[mesh.faces]
    a, b, c = np.moveaxis(corners.astype(float), 1, 0)
    normal = np.cross(b - a, c - a)
    length = np.linalg.norm(normal, axis=1, keepdims=True)
    rows["normal"] = np.divide(normal, length, out=np.zeros_like(normal), where=length > 0)
    rows["corners"] = corners
    count = np.array([len(rows)], dtype="<u4").tobytes()
    return header[:HEADER_BYTES].ljust(HEADER_BYTES) + count + rows.tobytes()
