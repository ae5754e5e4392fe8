"""What stands above and below the charts of a trade study: the answer, what the signs mean, why points are missing."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING

from linkage.drawing.axes import TEXT_SIZE, lettering
from linkage.drawing.palette import Theme
from linkage.drawing.text import plain, wrapped
from linkage.trade.answer import Answer
from linkage.trade.model import Trade

if TYPE_CHECKING:
    from matplotlib.figure import Figure


def write_head(figure: Figure, found: Answer, theme: Theme) -> None:
    text = wrapped(found.sentence, 118, 3)
    high = figure.get_figheight()
    figure.text(0.02, 1 - 0.14 / high, text, va="top", **lettering(theme, size=TEXT_SIZE + 2.5, weight="bold"))


def write_foot(figure: Figure, found: Answer, theme: Theme) -> None:
    """What the signs mean, and why points are missing."""
    lines = list(_notes(found))
    figure.text(
        0.02, 0.1 / figure.get_figheight(), "\n".join(lines), va="bottom", **lettering(theme, colour=theme.muted)
    )


def _notes(found: Answer) -> Iterator[str]:
    trade = found.trade
    changes = f", with {', '.join(trade.changes)}" if trade.changes else ""
    yield plain(f"{trade.title}{changes}. Each dot is a design solved completely; diamond: present design", 170)
    sign = "green" if len(trade.varies) == 1 else "hatched: falls short; green line: edge of what"
    yield plain(f"{sign} {found.kept}; ticks: side that is not allowed", 170)
    why = reasons(trade)
    if why:
        yield plain("crossed: " + "; ".join(f"{count} {reason}" for reason, count in list(why.items())[:2]), 175)


def reasons(trade: Trade) -> dict[str, int]:
    """Why points have no result, numbers left out, with how many, most first."""
    words = [
        re.sub(r"-?\d+(\.\d+)?(e-?\d+)?", "...", p.reason.partition(";")[0]) for p in trade.points if not p.computed
    ]
    return dict(sorted(((w, words.count(w)) for w in dict.fromkeys(words)), key=lambda pair: -pair[1]))
