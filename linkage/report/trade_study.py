"""A trade study from a file and some words: read, run, choose what to show."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any

from linkage.document.reader import plain
from linkage.document.ways import told
from linkage.report.headline import headline
from linkage.report.trade_files import chosen, trade_lines, write_trade
from linkage.trade import Point, Trade, run, varies
from linkage.trade.run import WRONG, Work, own


@dataclass(frozen=True)
class Done:
    """A trade study that was run, and the results to show of it."""

    trade: Trade
    results: tuple[str, ...]

    @property
    def lines(self) -> list[str]:
        """The answer and a table."""
        return list(trade_lines(self.trade, self.results))

    @property
    def wrong(self) -> bool:
        """Every point is a study that is wrong."""
        return all(p.reason.startswith(WRONG) for p in self.trade.points)

    def write(self, folder: Path) -> str:
        """Write everything to a folder; returns what was written."""
        return write_trade(self.trade, self.results, folder)


def trade_study(
    path: Path,
    vary: Sequence[str],
    changes: Mapping[str, Any],
    results: Sequence[str],
    executor: Executor | None,
    tell: Callable[[str], None],
) -> Done:
    """Run a trade study. ``vary``: texts as `linkage.trade.vary.varies` takes them; ``results``: what to show, empty:
    what tells most; ``executor``: who does it, None: this process. Raises ``DocumentError`` with every fault."""
    content, table = plain(path, changes)
    some = varies(vary, table)
    work = Work(path, sha256(content).hexdigest(), table, some, headline)
    work.refuse()
    title = str(table.get("title", path.name))
    present = _known(work, title, results) if results else None

    def heard(done: int, total: int, rate: float) -> None:
        tell(f"{done} of {total} designs, {rate:.1f} a second")

    found = run(work, title, told(changes), executor, heard, present)
    return Done(found, chosen(found, results) if found.computed.any() else ())


def _known(work: Work, title: str, results: Sequence[str]) -> Point | None:
    """The present design, solved ahead of hours of work to say at once which results nobody knows."""
    here = own(work.varies)
    point = work(here) if here is not None else None
    if point is not None and point.computed:
        chosen(Trade(title, "", (), work.varies, (point,), point), results)
    return point
