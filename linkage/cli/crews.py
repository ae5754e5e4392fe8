"""Who does the batches of a command: this process, processes of this machine, or a cluster."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Annotated, Any

import typer

from linkage.cli.shared import say

if TYPE_CHECKING:
    from concurrent.futures import Executor


def _workers(by_default: str) -> Any:
    told = f"how many work at once; left out: {by_default}"
    return typer.Option("--workers", min=1, max=256, help=told, metavar="N")


Workers = Annotated[int | None, _workers("one for each core")]
FewWorkers = Annotated[int | None, _workers("one")]
ReviewWorkers = Annotated[int | None, _workers("one for each core, 4 at most")]
Cluster = Annotated[
    str | None, typer.Option("--cluster", help="work on a Dask cluster: address of its scheduler", metavar="ADDRESS")
]


@contextmanager
def crew(workers: int | None, cluster: str | None = None) -> Iterator[Executor | None]:
    """``workers`` processes of this machine, None for one a core, 1 for this process itself; or the cluster at that
    address, with its cautions said. Raises ``DocumentError`` where both are wanted, ``LinkageError`` where there is no
    cluster."""
    from linkage.errors import DocumentError, Fault

    if workers is not None and cluster is not None:
        raise DocumentError([Fault("--workers", "given beside --cluster", "one of them")], "command line")
    if cluster is not None:
        from linkage.cluster import connect

        with connect(cluster) as far:
            for line in far.cautions:
                say(f"caution: {line}", err=True)
            yield far
    elif workers == 1:
        yield None
    else:
        from linkage.crew import Workers as Processes

        with Processes(workers) as near:
            yield near
