"""The axis sketch of docs/conventions.md: signs shown on the starter's gear.

``python -m linkage.drawing.axes_sketch`` writes docs/pictures/axes.svg anew; a test compares.
"""

from __future__ import annotations

import sys
import tomllib
from importlib.resources import files
from pathlib import Path as FilePath
from typing import TYPE_CHECKING, Any

import numpy as np

from linkage.document.reader import parse
from linkage.document.variants import varied
from linkage.drawing.axes import TEXT_SIZE, house, lettering, new_figure
from linkage.drawing.paint import paint
from linkage.drawing.palette import BLUE, LIGHT, VERMILION, Theme
from linkage.drawing.save import save
from linkage.drawing.scene import Disc, Item, Path, PinMark, Role, Scene
from linkage.gear import Gear
from linkage.stroke import Stroke, gear_and_stroke

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

SHOWN_LARGER = {"gear.brace.over_centre": 26.0, "gear.leg.axle_offset": 70.0}
"""mm: small in a real gear, so that nobody would see them in a sketch."""

WINDOW = (470.0, -225.0, 1590.0, 830.0)
TYRE = 148.0
ALT = (
    "Side view, nose to the left: FS grows aft, WL up, BL to the right wing, away from the reader. On a nose gear"
    " are shown the positive senses of angle, swing, along, offset, steer-axis tilt, trail, over-centre offset and the"
    " forces of brace and actuator."
)


@house()
def axes_sketch(theme: Theme = LIGHT) -> Figure:
    """Axes and signs, as docs/conventions.md states them."""
    gear, stroke = gear_and_stroke(varied(parse(_starter()), SHOWN_LARGER))
    figure = new_figure(1000, 942, theme=theme)
    ax = paint(_scene(gear, stroke), figure.add_axes((0.01, 0.01, 0.98, 0.98)), theme, title=False)
    ax.set_axis_off()
    _frame(ax, theme)
    _leg_signs(ax, gear, theme)
    _brace_signs(ax, gear, theme)
    return figure


def _starter() -> dict[str, Any]:
    return tomllib.loads(files("linkage.document").joinpath("starter.toml").read_text(encoding="utf-8"))


def _pin(gear: Gear, name: str) -> complex:
    return complex(gear.pins[name].at)


def _scene(gear: Gear, stroke: Stroke) -> Scene:
    """The gear down, and the leg on its way up."""
    line = [
        _pin(gear, name) for name in ("trunnion", "upper pin", "knee", "lug", "axle", "actuator root", "actuator pin")
    ]
    trunnion, upper, knee, lug, axle, root, rod = line
    foot = trunnion + gear.down * np.real((axle - trunnion) * np.conj(gear.down))
    turn = np.exp(1j * gear.leg_sense * np.radians(38.0))
    moving = [trunnion + turn * (z - trunnion) for z in (foot, axle)]
    items: list[Item] = [
        Path((trunnion, moving[0], moving[1]), role=Role.TRANSIT),
        Disc(moving[1], TYRE, Role.TRANSIT),
        Path((trunnion, foot, axle)),
        Disc(axle, TYRE),
        Path((upper, knee, lug)),
        Path((upper, rod)),
        Path((root, rod), role=Role.ACTUATOR),
        Path((upper, lug), role=Role.CENTRE),
        Path((complex(WINDOW[0] + 90, axle.imag - TYRE), complex(1150, axle.imag - TYRE)), role=Role.GROUND),
        *(PinMark(z, fixed=z in (trunnion, upper, root)) for z in (trunnion, upper, root, knee, lug, rod, axle)),
    ]
    return Scene(tuple(items), "Axes and signs", ALT, WINDOW)


def _arrow(ax: Axes, start: complex, end: complex, colour: str, bow: float = 0.0, both: bool = False) -> None:
    style = {"arrowstyle": "<|-|>" if both else "-|>", "connectionstyle": f"arc3,rad={bow}", "color": colour}
    shape = {"shrinkA": 0.0, "shrinkB": 0.0, "linewidth": 1.3, "mutation_scale": 11.0}
    ax.annotate("", (end.real, end.imag), (start.real, start.imag), arrowprops={**style, **shape}, zorder=9)


def _say(ax: Axes, at: complex, text: str, theme: Theme, colour: str | None = None, ha: str = "left") -> None:
    words = lettering(theme, size=TEXT_SIZE + 1.5, colour=colour)
    ax.text(at.real, at.imag, text, ha=ha, va="center", zorder=10, **words)


def _frame(ax: Axes, theme: Theme) -> None:
    """The axes, the positive angle, and which way the aircraft looks."""
    origin = complex(1330, -120)
    _arrow(ax, origin, origin + 190, theme.ink)
    _arrow(ax, origin, origin + 190j, theme.ink)
    ax.plot([origin.real], [origin.imag], "o", markersize=13, mfc=theme.paper, mec=theme.ink, zorder=9)
    ax.plot([origin.real], [origin.imag], "x", markersize=8, mec=theme.ink, zorder=9)
    _say(ax, origin + complex(195, -28), "FS, aft +", theme, ha="right")
    _say(ax, origin + complex(14, 182), "WL, up +", theme)
    _say(ax, origin + complex(-24, -20), "BL, right wing +,\naway from you", theme, ha="right")
    _arrow(ax, origin + 120, origin + 120 * np.exp(1j * np.pi / 3), BLUE, bow=0.27)
    _say(ax, origin + 128 * np.exp(1j * np.pi / 5), "angle +", theme, BLUE)
    _arrow(ax, complex(640, 800), complex(510, 800), theme.ink)
    _say(ax, complex(650, 800), "to the nose", theme)


def _leg_signs(ax: Axes, gear: Gear, theme: Theme) -> None:
    """Along, offset, swing, tilt and trail."""
    trunnion, axle = _pin(gear, "trunnion"), _pin(gear, "axle")
    reach = float(np.real((axle - trunnion) * np.conj(gear.down)))
    side = -165.0 * gear.aft
    _arrow(ax, trunnion + side, trunnion + reach * gear.down + side, BLUE)
    _say(ax, trunnion + 0.5 * reach * gear.down + side - 12, "along +,\nfrom the trunnion", theme, BLUE, "right")
    foot = trunnion + reach * gear.down
    _arrow(ax, foot, axle, BLUE)
    _say(ax, axle + complex(-4, 34), "offset + aft", theme, BLUE)
    turn = np.exp(1j * gear.leg_sense * np.radians(34.0))
    _arrow(ax, trunnion + 400 * gear.down, trunnion + 400 * gear.down * turn, BLUE, bow=0.17)
    _say(ax, trunnion + 366 * gear.down * turn**0.42, "swing +, towards\nup, 0 at the lock", theme, BLUE, "center")
    ground = axle.imag - TYRE
    _tilt_and_trail(ax, trunnion, gear.down, complex(axle.real, ground), theme)


def _tilt_and_trail(ax: Axes, trunnion: complex, down: complex, contact: complex, theme: Theme) -> None:
    met = trunnion + down * (contact.imag - trunnion.imag) / down.imag
    far = met - 990.0 * down
    ax.plot([met.real, far.real], [met.imag, far.imag], color=theme.muted, linewidth=0.9, dashes=(9, 3, 2, 3), zorder=1)
    ax.plot([contact.real] * 2, [contact.imag, contact.imag - 62], color=theme.muted, linewidth=0.8)
    ax.plot([met.real] * 2, [met.imag, met.imag - 62], color=theme.muted, linewidth=0.8)
    ax.plot([trunnion.real] * 2, [trunnion.imag, trunnion.imag + 150], color=theme.muted, linewidth=0.8)
    _arrow(ax, met - 50j, contact - 50j, BLUE)
    _say(ax, met - 92j, "trail +: contact aft of the steer axis", theme, BLUE, "center")
    _arrow(ax, trunnion + 125j, trunnion - 125 * down, BLUE, bow=-0.1)
    _say(ax, trunnion + complex(26, 110), "steer-axis tilt +, top aft", theme, BLUE)


def _brace_signs(ax: Axes, gear: Gear, theme: Theme) -> None:
    """Over-centre offset and the forces of brace and actuator."""
    upper, knee, lug = (_pin(gear, name) for name in ("upper pin", "knee", "lug"))
    along = (lug - upper) / abs(lug - upper)
    near = upper + along * float(np.real((knee - upper) * np.conj(along)))
    past = (knee - near) / abs(knee - near)
    _arrow(ax, near, knee, VERMILION)
    _say(ax, knee + 55 * past + 62, "over-centre offset +, past the line", theme, VERMILION)
    _arrow(ax, upper - 105 * along, upper - 22 * along, VERMILION)
    _arrow(ax, lug + 105 * along, lug + 22 * along, VERMILION)
    _say(ax, upper - 115 * along + 8, "brace force:\ncompression +", theme, VERMILION)
    root, rod = _pin(gear, "actuator root"), _pin(gear, "actuator pin")
    push = (rod - root) / abs(rod - root)
    side = 1j * push * 26
    _arrow(ax, root + 0.35 * (rod - root) + side, root + 0.75 * (rod - root) + side, VERMILION)
    _say(ax, root + 0.6 * (rod - root) + side + 30j, "actuator: push +", theme, VERMILION)


if __name__ == "__main__":
    target = FilePath(sys.argv[1] if len(sys.argv) > 1 else "docs/pictures/axes.svg")
    save(axes_sketch(), target, title="Axes and signs", alt=ALT)
