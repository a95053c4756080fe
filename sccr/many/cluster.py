"""A Dask cluster that rates: the same chunks, on as many machines as it has. The only module that knows `distributed`.

Whoever reaches a scheduler can have its workers run any program. So a scheduler on another machine is spoken to over
TLS, with certificates on both sides, and over bare TCP on this machine only.
"""

import ipaddress
import time
from collections.abc import Callable
from collections.abc import Iterable
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from typing import Any
from typing import Final
from typing import Generic
from typing import TypeAlias
from urllib.parse import urlsplit

from sccr.editions import editions
from sccr.errors import NoWorkers
from sccr.errors import WorkerLost
from sccr.many.executors import Executor
from sccr.many.executors import Item
from sccr.many.executors import Pending
from sccr.many.executors import Result
from sccr.many.executors import in_order
from sccr.version import ENGINE_VERSION

#: How long a scheduler may take to answer, and then to have a worker [s].
_SECONDS: Final = 10
#: So many items a thread of the cluster may be under way, and some that wait here for their turn to be told.
_AHEAD: Final = 3
#: How often it is asked how many threads the cluster has [s].
_LOOK: Final = 2.0

#: The version of an engine, and the digest of the tables of each edition.
_Engine: TypeAlias = tuple[str, tuple[tuple[str, str], ...]]


class Cluster(Executor):
    """A cluster by the address of its scheduler: "tls://host:port", or "tcp://127.0.0.1:port"."""

    def __init__(self, address: str) -> None:
        _require_safe(address)
        self._client = _client(address)
        self._threads = 1
        self._looked = -_LOOK

    @property
    def at_once(self) -> int:  # type: ignore[override]
        """How many threads the cluster has, as of late: workers come and go."""
        if time.monotonic() - self._looked > _LOOK:
            with _told_if_gone(self._client):
                self._threads = max(1, sum(self._client.nthreads().values()))
            self._looked = time.monotonic()
        return self._threads

    def map(
        self,
        function: Callable[[Item], Result],
        items: Iterable[Item],
        lost: Callable[[Item], Result] | None = None,
    ) -> Iterator[Result]:
        """Yield what comes of each item, in order; one whose worker dies is sent to another.

        It is lost where that happens more often than `distributed.scheduler.allowed-failures` of the scheduler, 3.
        """

        def submit(item: Item) -> Pending[Result]:
            with _told_if_gone(self._client):
                return _Asked(self._client.submit(_on_worker, function, item, _engine(), pure=False))

        return in_order(submit, items, lambda: _AHEAD * self.at_once, lost)

    def close(self) -> None:
        """Leave the cluster, and have dropped there what is under way."""
        self._client.close()


class _Asked(Generic[Result]):
    """What was asked of the cluster."""

    def __init__(self, future: Any) -> None:
        self._future = future

    def result(self) -> Result:
        from distributed import KilledWorker

        try:
            with _told_if_gone(self._future.client):
                return self._future.result()  # type: ignore[no-any-return]
        except KilledWorker as error:
            raise WorkerLost(str(error)) from error

    def done(self) -> bool:
        return bool(self._future.done())

    def cancel(self) -> None:
        self._future.cancel()


@contextmanager
def _told_if_gone(client: Any) -> Iterator[None]:
    """Raise NoWorkers where the scheduler goes before it is asked, or while it answers.

    A client that could not reach it again is closed for good, and then raises one thing or another.
    """
    from distributed import CancelledError
    from distributed.comm import CommClosedError

    try:
        yield
    except Exception as error:
        if client.status != "closed" and not isinstance(error, CancelledError | CommClosedError):
            raise
        raise NoWorkers(f"the scheduler of the cluster is gone: {error}") from error


def _on_worker(function: Callable[[Item], Result], item: Item, engine: _Engine) -> Result:
    """Do what was asked, on a worker: if it would do it as the one who asks."""
    if engine != _engine():
        raise NoWorkers(f"a worker has the engine {_engine()[0]} with its tables, and not those of {engine[0]} here")
    return function(item)


@cache
def _engine() -> _Engine:
    """Return what a rating depends on beside its document and catalogue: the engine of this process."""
    return ENGINE_VERSION, tuple((each.id, each.tables_digest()) for each in editions().values())


def _client(address: str) -> Any:
    """Return a client of the cluster, with the certificates that Dask's own settings name."""
    try:
        from distributed import Client
        from distributed import Security
    except ModuleNotFoundError as missing:
        told = f"what speaks to a cluster is not installed ({missing}): pip install 'sccr[distributed]'"
        raise NoWorkers(told) from missing
    client = None
    try:
        client = Client(address, security=Security(), timeout=_SECONDS, set_as_default=False)
        client.wait_for_workers(1, timeout=_SECONDS)
    except (OSError, RuntimeError, TypeError, ValueError) as error:  # of its settings for TLS, too, or the address
        if client is not None:
            client.close()
        raise NoWorkers(f"the cluster at {address} cannot be had: {error}") from error
    return client


def _require_safe(address: str) -> None:
    """Raise NoWorkers for a scheduler that would be spoken to in the open, over a network."""
    parts = urlsplit(address)
    if parts.scheme == "tls" or parts.hostname == "localhost":
        return
    try:
        if ipaddress.ip_address(parts.hostname or "").is_loopback:
            return
    except ValueError:
        pass  # the name of another machine
    raise NoWorkers(
        f"{address} is on another machine, and whoever reads or enters the connection can run programs there and "
        "here: use tls:// with certificates of your own"
    )
