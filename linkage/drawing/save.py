"""Pictures on disk: the same bytes every time, whole files only, with the alternative text inside.

No date, no random ids, no reading of user text as markup.
"""

from __future__ import annotations

import io
import re
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any
from xml.sax.saxutils import escape, quoteattr

from linkage.drawing.axes import house
from linkage.drawing.text import plain
from linkage.files import write_whole

if TYPE_CHECKING:
    from matplotlib.figure import Figure

SALT = "linkage"
FORMATS = (".svg", ".png", ".pdf")


def save(figure: Figure, path: Path, *, title: str = "", alt: str = "", dpi: float | None = None) -> Path:
    """Write ``figure`` as the suffix of ``path`` says (.svg, .png or .pdf) and return ``path``.

    ``alt`` is for readers who cannot see the picture, ``dpi`` applies to PNG only. Sizes stay as laid out, so a sheet
    keeps its true scale.
    """
    match path.suffix.lower():
        case ".svg":
            write_whole(path, svg_text(figure, title=title, alt=alt))
        case ".png":
            write_whole(path, png_bytes(figure, title=title, alt=alt, dpi=dpi))
        case ".pdf":
            nothing = {"CreationDate": None, "Creator": None, "Producer": None}
            write_whole(path, _printed(figure, "pdf", {**nothing, "Title": plain(title), "Subject": plain(alt, 2000)}))
        case other:
            raise ValueError(f"cannot save a picture as {other!r}; one of {', '.join(FORMATS)}")
    return path


def svg_text(figure: Figure, *, title: str = "", alt: str = "", salt: str = SALT, text_as_paths: bool = True) -> str:
    """Return the figure as SVG text.

    Several pictures on one page need a different ``salt`` each, so that their ids differ. Text is drawn as paths and
    looks the same everywhere; with ``text_as_paths=False`` it can be searched and needs the font.
    """
    metadata: dict[str, str | None] = {"Date": None, "Creator": None, "Format": None, "Type": None}
    if plain(title):
        metadata["Title"] = plain(title)
    options: dict[str, Any] = {
        "svg.hashsalt": salt,
        "svg.fonttype": "path" if text_as_paths else "none",
        "svg.id": None,
    }
    text = _printed(figure, "svg", metadata, options).decode()
    return _described(text, plain(title), plain(alt, 4000))


def png_bytes(figure: Figure, *, title: str = "", alt: str = "", dpi: float | None = None) -> bytes:
    """Return the figure as PNG; title and alternative text are kept in its text chunks."""
    words = {"Title": plain(title), "Description": plain(alt, 4000)}
    metadata = {"Software": None, **{key: word for key, word in words.items() if word}}
    return _printed(figure, "png", metadata, dpi=dpi)


def _printed(
    figure: Figure,
    kind: str,
    metadata: Mapping[str, str | None],
    options: dict[str, Any] | None = None,
    dpi: float | None = None,
) -> bytes:
    import matplotlib

    target = io.BytesIO()
    chosen: Any = options or {}
    # A user's own settings must not change what is drawn or written.
    with house(), matplotlib.rc_context(chosen):
        figure.savefig(
            target,
            format=kind,
            metadata=metadata,
            dpi=dpi or figure.dpi,
            facecolor=figure.get_facecolor(),
            bbox_inches=None,
        )
    return target.getvalue()


def _described(svg: str, title: str, alt: str) -> str:
    """Tell reading programs that the SVG is one image, what it is called and what it shows."""
    if not (title or alt):
        return svg
    opening = re.search(r"<svg\b[^>]*>", svg)
    if opening is None:
        raise ValueError("the SVG has no <svg> element")
    tag = f'{opening.group()[:-1]} role="img" aria-label={quoteattr(title or alt)}>'
    words = f"\n <desc>{escape(alt)}</desc>" if alt else ""
    return svg[: opening.start()] + tag + words + svg[opening.end() :]
