"""The whole pack in the order in which a review reads it, and the picture files it shows."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from linkage import __version__
from linkage.drawing.drawn import Drawn, close_ups
from linkage.drawing.gear_scene import caption
from linkage.drawing.sheet import A3, ANSI_B
from linkage.report.cautions import CAUTIONS
from linkage.report.figures import side_drawn
from linkage.report.pack import motion, sections
from linkage.report.pack.blocks import Block, heading, listing, paragraph, picture, row_of_pictures, said, signs
from linkage.report.sheets import Sheet
from linkage.sensitivity import Line
from linkage.solution import Solution

CAUTION = "Preliminary study, not a showing of compliance. Loads are LIMIT loads unless marked ULTIMATE."
INCH_SHEET = "side-view-b"
GROUND = ("load-share", "baggage-map", "stance", "station-map")
LOADS = ("leg-loads",)
STROKE = ("stroke-curves", "actuator-force", "hinge-moments", "emergency-extension", "doors")
LOCK = ("lock",)


def content(
    solution: Solution,
    sheet_svg: str,
    figures: tuple[Drawn, ...],
    worked: tuple[Sheet, ...],
    moved: tuple[Line, ...],
    inch: Drawn | None = None,
    close: tuple[Drawn, ...] | None = None,
) -> tuple[dict[str, Any], dict[str, str]]:
    """Data for the template, and SVG by file name. ``sheet_svg``: the side view on A3; ``inch``: on the inch sheet,
    ``close``: close-ups of the tightest gaps, both drawn here if not given."""
    inch = side_drawn(solution, ANSI_B, INCH_SHEET) if inch is None else inch
    close = close_ups(solution.results) if close is None else close
    files = {f"{d.name}.svg": d.svg for d in (*figures, inch, *close)}
    files["side-view-a3.svg"] = sheet_svg
    blocks = list(_blocks(solution, figures, close, worked, moved))
    study, found = solution.results.study, solution.findings
    data = {
        "title": said(study.title),
        "aircraft": said(study.airframe.name),
        "question": said(study.question),
        "short_title": said(study.title, 70),
        "sha256": solution.source.sha256,
        "version": __version__,
        "short": sum(not f.passed for f in found),
        "findings": len(found),
        "worst": said(f"{found[0].subject}: {found[0].result} {found[0].unit}, required {signs(found[0].required)}")
        if found
        else "",
        "cautions": list(CAUTIONS),
        "caution": CAUTION,
        "blocks": blocks,
    }
    return data, files


def _blocks(
    solution: Solution,
    figures: tuple[Drawn, ...],
    close: tuple[Drawn, ...],
    worked: tuple[Sheet, ...],
    moved: tuple[Line, ...],
) -> Iterator[Block]:
    r = solution.results
    yield from sections.job(solution)
    yield from sections.judged(solution)
    scene_alt = said(caption(r), 4000)
    for file, size in (("side-view-a3.svg", A3), (f"{INCH_SHEET}.svg", ANSI_B)):
        name = f"Side view at true scale, {size.name}"
        yield {"kind": "sheet-page", "file": file, "width": size.width, "height": size.height, "title": name} | {
            "alt": scene_alt
        }
    yield from sections.stations(r)
    yield from sections.share(r)
    yield from _pictures(figures, GROUND)
    yield from sections.loads(r)
    yield from _pictures(figures, LOADS)
    yield heading("Stroke curves", 1)
    yield from _pictures(figures, STROKE)
    yield heading("Lock", 1)
    yield from motion.lock(r)
    yield from _pictures(figures, LOCK)
    yield heading("Clearance", 1)
    if close:
        yield row_of_pictures([(f"{d.name}.svg", d.title, d.alt) for d in close])
    else:
        yield paragraph("The study names no bay items, so there is nothing to be clear of.")
    yield from motion.clearance(r)
    yield from motion.keep_out(r)
    yield from sections.moved(moved)
    yield from motion.worked(worked)
    yield from motion.validated()
    used = {*GROUND, *LOADS, *STROKE, *LOCK}
    rest = tuple(d.name for d in figures if d.name not in used)
    if rest:
        yield heading("Further figures", 1)
        yield from _pictures(figures, rest)
    yield heading("Study document", 1)
    yield paragraph(f"As read, SHA-256 {solution.source.sha256}. Units inside the document are those it declares.")
    if solution.source.changes:
        yield paragraph(f"All of this pack is for the study changed by {'; '.join(solution.source.changes)}.")
    yield listing(solution.source.text)


def _pictures(figures: tuple[Drawn, ...], names: tuple[str, ...]) -> Iterator[Block]:
    by_name = {d.name: d for d in figures}
    for name in names:
        if name in by_name:
            d = by_name[name]
            yield picture(f"{name}.svg", d.width_mm, d.title, d.alt)
