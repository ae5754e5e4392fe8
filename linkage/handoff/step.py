"""STEP AP214: real solids of planes and cylinders, named and coloured, mm or inch. Needs the extra ``cad``.

A solid is one body for each piece that hangs together, with walls that reach as far as the slabs do not change. Its
bytes are made repeatable: nothing of the time or of the machine is in them.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from linkage.handoff.brep import body_of
from linkage.handoff.model import HandoffError, NamedSolid, Provenance, Unit, unique_names
from linkage.handoff.step_text import one_line, part21, with_colours, with_header, with_shared
from linkage.process import interrupted

SCHEMA = "AP214IS"


class CadMissingError(HandoffError, ImportError):
    """The CAD library is not installed."""


def require_cad() -> None:
    """Raise ``CadMissingError`` with what to install if the CAD library is not there."""
    try:
        import OCP.STEPCAFControl  # noqa: F401
    except ImportError as fault:
        if interrupted(fault):
            raise KeyboardInterrupt from fault
        message = f"STEP needs the extra 'cad' (pip install 'noseleg[cad]'): {fault}"
        raise CadMissingError(message) from fault


def step_bytes(solids: Sequence[NamedSolid], provenance: Provenance, tolerance: float = 0.05) -> bytes:
    """STEP text of ``solids`` in the package's unit; x = FS, y = BL, z = WL. Repeatable, nothing printed.

    Every solid encloses its slabs and lies at most ``tolerance`` mm outside their walls; butt lines are exact.
    """
    require_cad()
    names = product_names(solids)
    # Names and colours are put in afterwards: the library orders colours by memory address, and writes other alphabets
    # in a way not every reader takes.
    tokens = [f"SOLID-{k:04d}-NAME" for k in range(len(solids))]
    with quiet():
        draft = _written([body_of(s, tolerance) for s in solids], tokens, provenance.units)
    draft = with_colours(with_shared(draft), {token: s.colour for token, s in zip(tokens, solids, strict=True)})
    for token, name in zip(tokens, names, strict=True):
        draft = draft.replace(f"'{token}'", f"'{part21(name)}'")
    return with_header(draft, provenance).encode("ascii")


def product_names(solids: Sequence[NamedSolid]) -> list[str]:
    """Names as the file carries them: one line each, not too long, all different."""
    return unique_names(one_line(s.name) for s in solids)


@contextmanager
def quiet() -> Iterator[None]:
    """Keep the CAD library from writing to the terminal."""
    from OCP.Message import Message

    printers = Message.DefaultMessenger_s().ChangePrinters()
    before = list(printers)
    printers.Clear()
    try:
        yield
    finally:
        for printer in before:
            printers.Append(printer)


def _written(bodies: Sequence[Any], names: Sequence[str], unit: Unit) -> str:
    from OCP.IFSelect import IFSelect_ReturnStatus
    from OCP.Interface import Interface_Static
    from OCP.STEPCAFControl import STEPCAFControl_Writer
    from OCP.STEPControl import STEPControl_StepModelType

    document = _document(bodies, names)
    writer = STEPCAFControl_Writer()
    # Set after the writer is made: making the first one registers these settings with their defaults.
    Interface_Static.SetCVal_s("write.step.schema", SCHEMA)
    Interface_Static.SetCVal_s("write.step.unit", "MM" if unit == "mm" else "INCH")
    # Curves on planes and cylinders need no second description in the surface: half the size.
    Interface_Static.SetIVal_s("write.surfacecurve.mode", 0)
    writer.SetNameMode(True)
    writer.SetColorMode(False)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "draft.step"
        if not writer.Transfer(document, STEPControl_StepModelType.STEPControl_AsIs):
            raise HandoffError("the CAD library takes these solids for no STEP file")
        if writer.Write(str(path)) != IFSelect_ReturnStatus.IFSelect_RetDone:
            raise HandoffError(
                f"cannot write a draft of the STEP file into {folder}; the CAD library does not say why: a full disk?"
            )
        return path.read_text(encoding="utf-8")


def _document(bodies: Sequence[Any], names: Sequence[str]) -> Any:
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name
    from OCP.TDocStd import TDocStd_Document
    from OCP.XCAFDoc import XCAFDoc_DocumentTool

    document = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
    XCAFDoc_DocumentTool.SetLengthUnit_s(document, 0.001)
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    for body, name in zip(bodies, names, strict=True):
        TDataStd_Name.Set_s(shapes.AddShape(body, False), TCollection_ExtendedString(name))
    return document
