"""Work shared out on a Dask cluster that runs already: what a lost worker had in hand, another one does.

The library for it is loaded only here. Pieces are worked on one at a time in each process, on one thread, as
`shared_out` does, whatever the cluster allows.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from functools import partial
from importlib.util import find_spec
from threading import Lock
from typing import TYPE_CHECKING, Any, TypeVar

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.jobs.kept import VERSIONS
from mytakeoff.jobs.pool import Share

if TYPE_CHECKING:
    from distributed import Client

Done = TypeVar("Done")

PATIENCE_S = 5.0  # until a scheduler answers and has a worker
_TURN = Lock()


@contextmanager
def cluster_at(address: str) -> Iterator[Share[Any]]:
    """How work is shared out on the cluster whose scheduler is at an address, as long as it is needed.

    Parameters
    ----------
    address : str
        As the scheduler says it when it is started, as ``tcp://192.0.2.7:8786``.

    Raises
    ------
    TakeoffError
        The library is not installed, nothing answers there, there is no worker, or one has other versions.
    ConnectionError
        While work is shared out: the scheduler is lost.
    """
    with _client(address) as client:
        _check_workers(client, address)
        yield partial(_shared_on, client)


def _client(address: str) -> Client:
    if find_spec("distributed") is None:
        said = "distributed is not installed", "a cluster is reached by it"
        raise TakeoffError(Mistake(*said, "pip install 'mytakeoff[cluster]', or leave out --scheduler"))
    from distributed import Client

    logging.getLogger("distributed").setLevel(logging.CRITICAL)  # what matters of it is told in our words
    try:
        asyncio.run(_ask(address))  # a client that is not answered waits much longer
        return Client(address, timeout=PATIENCE_S, set_as_default=False)
    except (OSError, ValueError, TimeoutError) as error:
        said = f"no scheduler answers at {address!r}", "a cluster that runs already is used"
        remedy = "start one with: dask scheduler, and workers with: dask worker; or leave out --scheduler"
        raise TakeoffError(Mistake(*said, remedy)) from error


async def _ask(address: str) -> None:
    """Ask a scheduler who it is."""
    from distributed.core import rpc

    async with rpc(address) as scheduler:
        await asyncio.wait_for(scheduler.identity(), PATIENCE_S)


def _check_workers(client: Client, address: str) -> None:
    """See that there are workers, and that each would work out the same figures."""
    try:
        client.wait_for_workers(1, timeout=PATIENCE_S)
    except TimeoutError:
        said = f"the scheduler at {address!r} has no worker", "jobs are priced by workers"
        raise TakeoffError(Mistake(*said, f"start some with: dask worker {address}")) from None
    rule, remedy = "all figures of a table are worked out by the same versions", f"install {VERSIONS} there"
    theirs = client.run(versions, on_error="return")
    others = {where: found for where, found in theirs.items() if found != VERSIONS}
    if others:
        raise TakeoffError(
            *(Mistake(_in_a_line(found), rule, remedy, where) for where, found in others.items())
        )


def _in_a_line(found: object) -> str:
    return " ".join(str(found).split())


def versions() -> str:
    """What a worker would work out figures by."""
    return VERSIONS


def _shared_on(
    client: Client, work: Callable[[str], Done], pieces: Sequence[str]
) -> Iterator[tuple[str, Done | None]]:
    """See `shared_out`; None of a piece that ended one worker after the other."""
    from distributed import KilledWorker, as_completed

    futures = client.map(partial(_alone, work), pieces, pure=False)  # files may change: nothing is remembered
    waiting = dict(zip(futures, pieces, strict=True))
    del futures  # or the results would stay on the cluster
    suspected: list[str] = []
    for future in as_completed(waiting, loop=client.loop):
        if future.status == "cancelled":
            raise ConnectionError("the scheduler was lost")
        piece = waiting.pop(future)
        try:
            yield piece, future.result()
        except KilledWorker:  # what waited on the same workers is suspected as well
            suspected.append(piece)
        future.release()
    for piece in suspected:
        yield piece, _by_itself(client, work, piece)


def _by_itself(client: Client, work: Callable[[str], Done], piece: str) -> Done | None:
    from distributed import KilledWorker

    try:
        done: Done = client.submit(_alone, work, piece, pure=False).result()
        return done
    except KilledWorker:
        return None


def _alone(work: Callable[[str], Done], piece: str) -> Done:
    """Work on a piece while nothing else in this process is worked on, on one thread."""
    from threadpoolctl import threadpool_limits  # type: ignore[import-untyped]

    with _TURN, threadpool_limits(1):
        return work(piece)
