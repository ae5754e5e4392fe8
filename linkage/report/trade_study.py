"""A trade study from a file and some words: read, run, choose what to show."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any

from linkage.crew import Workers
from linkage.document.reader import plain
from linkage.report.headline import headline
from linkage.report.trade_files import chosen, trade_lines, write_trade
from linkage.trade import Trade, run, varies
from linkage.trade.run import Work


@dataclass(frozen=True)
class Done:
    """A trade study that was run, and the results to show of it."""

    trade: Trade
    results: tuple[str, ...]

    @property
    def lines(self) -> list[str]:
        """The answer and a table."""
        return list(trade_lines(self.trade, self.results))

    def write(self, folder: Path) -> str:
        """Write everything to a folder; returns what was written."""
        return write_trade(self.trade, self.results, folder)


def trade_study(
    path: Path,
    vary: Sequence[str],
    changes: Mapping[str, Any],
    results: Sequence[str],
    count: int | None,
    tell: Callable[[str], None],
) -> Done:
    """Run a trade study. ``vary``: texts as `linkage.trade.vary.varies` takes them; ``results``: what to show, empty:
    what tells most; ``count``: processes, None for one a core. Raises ``DocumentError`` with every fault."""
    content, table = plain(path, changes)
    some = varies(vary, table)
    work = Work(path, sha256(content).hexdigest(), table, some, headline)
    said = [f"{name}={value!r}" for name, value in changes.items()]
    title = str(table.get("title", path.name))
    _known(work, title, results)

    def told(done: int, total: int, rate: float) -> None:
        tell(f"{done} of {total} designs, {rate:.1f} a second")

    if count == 1:
        found = run(work, title, said, None, told)
    else:
        with Workers(count) as pool:
            found = run(work, title, said, pool, told)
    return Done(found, chosen(found, results))


def _known(work: Work, title: str, results: Sequence[str]) -> None:
    """Results that nobody knows are said before hours of work, by the present design."""
    here = [v.present for v in work.varies]
    if results and None not in here:
        point = work([v for v in here if v is not None])
        if point.computed:
            chosen(Trade(title, "", (), work.varies, (point,), point), results)
