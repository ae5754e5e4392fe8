"""Binary glTF 2.0: one named, coloured node per solid, for viewers.

glTF is in metres with Y up. The buffers keep mm as (FS, BL, WL), which single precision carries exactly here; the root
node turns them to X = FS, Y = WL, Z = -BL, so a viewer opens on the side view, seen from the left.
"""

from __future__ import annotations

import struct
from collections.abc import Sequence
from typing import Any

import numpy as np

from linkage.handoff import jsonio
from linkage.handoff.model import NamedSolid, Provenance, unique_names
from linkage.handoff.solids import Mesh

# Column by column: images of FS, BL, WL, and the shift.
TO_METRES_Y_UP = [1e-3, 0, 0, 0, 0, 0, -1e-3, 0, 0, 1e-3, 0, 0, 0, 0, 0, 1]
FLOAT, UNSIGNED, VERTICES, INDICES = 5126, 5125, 34962, 34963


def glb_bytes(meshes: Sequence[Mesh], solids: Sequence[NamedSolid], provenance: Provenance) -> bytes:
    """One file with all ``meshes``; ``solids`` gives names and colours in the same order. Repeatable."""
    chunks: list[bytes] = []
    for mesh in meshes:
        chunks += [mesh.vertices.astype("<f4").tobytes(), mesh.faces.astype("<u4").tobytes()]
    body = b"".join(chunks)
    head = jsonio.text(_scene(meshes, solids, chunks, provenance)).encode()
    head += b" " * (-len(head) % 4)
    total = 12 + 8 + len(head) + 8 + len(body)
    return b"".join(
        [
            struct.pack("<4sII", b"glTF", 2, total),
            struct.pack("<I4s", len(head), b"JSON"),
            head,
            struct.pack("<I4s", len(body), b"BIN\0"),
            body,
        ]
    )


def _scene(
    meshes: Sequence[Mesh], solids: Sequence[NamedSolid], chunks: Sequence[bytes], provenance: Provenance
) -> dict[str, Any]:
    names = unique_names(s.name for s in solids)
    starts = np.concatenate([[0], np.cumsum([len(c) for c in chunks])])
    views = [
        {
            "buffer": 0,
            "byteOffset": int(start),
            "byteLength": len(chunk),
            "target": (VERTICES, INDICES)[k % 2],
        }
        for k, (start, chunk) in enumerate(zip(starts, chunks, strict=False))
    ]
    accessors = [entry for k, mesh in enumerate(meshes) for entry in _accessors(mesh, 2 * k)]
    primitives = [{"attributes": {"POSITION": 2 * k}, "indices": 2 * k + 1, "material": k} for k in range(len(meshes))]
    nodes = [{"name": name, "mesh": k} for k, name in enumerate(names)]
    root = {"name": "FS aft, BL right, WL up", "matrix": TO_METRES_Y_UP, "children": list(range(len(nodes)))}
    return {
        "asset": {"version": "2.0", "generator": f"noseleg {provenance.tool_version}"},
        "extras": {
            "study": provenance.study_name,
            "sha256": provenance.study_sha256,
            "frame": provenance.frame,
        }
        | ({"changes": list(provenance.changes)} if provenance.changes else {}),
        "scene": 0,
        "scenes": [{"nodes": [len(nodes)]}],
        "nodes": [*nodes, root],
        "meshes": [{"name": n, "primitives": [p]} for n, p in zip(names, primitives, strict=True)],
        "materials": [_material(n, s) for n, s in zip(names, solids, strict=True)],
        "accessors": accessors,
        "bufferViews": views,
        "buffers": [{"byteLength": int(starts[-1])}],
    }


def _accessors(mesh: Mesh, view: int) -> list[dict[str, Any]]:
    return [
        {
            "bufferView": view,
            "componentType": FLOAT,
            "type": "VEC3",
            "count": len(mesh.vertices),
            "min": [float(v) for v in mesh.vertices.min(axis=0)],
            "max": [float(v) for v in mesh.vertices.max(axis=0)],
        },
        {"bufferView": view + 1, "componentType": UNSIGNED, "type": "SCALAR", "count": mesh.faces.size},
    ]


def _material(name: str, solid: NamedSolid) -> dict[str, Any]:
    """Matt, two-sided only where one can see through."""
    clear = solid.opacity < 1.0
    colour = [round(_linear(c / 255), 6) for c in solid.colour] + [solid.opacity]
    surface = {"baseColorFactor": colour, "metallicFactor": 0.0, "roughnessFactor": 0.8}
    blend = {"alphaMode": "BLEND", "doubleSided": True} if clear else {}
    return {"name": name, "pbrMetallicRoughness": surface, **blend}


def _linear(channel: float) -> float:
    """Screen colour (sRGB, IEC 61966-2-1) to linear, as glTF wants it."""
    return channel / 12.92 if channel <= 0.04045 else float(((channel + 0.055) / 1.055) ** 2.4)
