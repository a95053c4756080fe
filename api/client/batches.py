"""Batches: many panels in one request, and the ratings of them when they are done."""

import json
import tempfile
import time
from collections.abc import Iterable
from collections.abc import Iterator
from typing import Any
from typing import Final
from typing import cast

import requests

from .answers import Batch
from .answers import Document
from .errors import NoAnswer
from .transport import LOST
from .transport import Transport
from .transport import step

ENDED: Final = frozenset({"done", "failed", "cancelled"})

_NDJSON: Final = "application/x-ndjson"
_IN_MEMORY: Final = 2**20


class Batches(Transport):
    """The part of the client that sends batches."""

    def create_batch(
        self, documents: Iterable[Document | bytes], *, record: bool = False, derivation: str = "full"
    ) -> Batch:
        """Send panel documents to be rated, in any number; with `record`, each rating is kept as a record.

        One that is written already, as bytes without a line feed, goes as it stands. derivation: "full", "short" or
        "none", how much of it the results have.
        """
        with tempfile.SpooledTemporaryFile(_IN_MEMORY) as spool:
            for document in documents:
                line = document if isinstance(document, bytes) else json.dumps(document, allow_nan=False).encode()
                spool.write(line + b"\n")
            # A file is sent in pieces; one that is empty would be sent as an endless one.
            body = spool if spool.tell() else b""
            query = {"record": record, "derivation": derivation}
            headers = {"Content-Type": _NDJSON}
            return cast(Batch, self._json("POST", "/v1/batches", query=query, headers=headers, body=body))

    def batches(self, state: str | None = None) -> Iterator[Batch]:
        """Yield the batches, the newest first: all, or those in a state."""
        return self._every("/v1/batches", "batches", {"state": state})

    def batch(self, id: str) -> Batch:
        """Return a batch: its state, and how many of its lines are done."""
        return cast(Batch, self._json("GET", f"/v1/batches/{step(id)}"))

    def cancel_batch(self, id: str) -> Batch:
        """Cancel a batch; what is done of it stays, and one that has ended stays as it is."""
        return cast(Batch, self._json("DELETE", f"/v1/batches/{step(id)}"))

    def wait_for_batch(self, id: str, *, seconds: float = 3600.0, pause: float = 1.0) -> Batch:
        """Return a batch when it has ended, asking now and then. Raises TimeoutError."""
        ends = time.monotonic() + seconds
        while (found := self.batch(id))["state"] not in ENDED:
            if time.monotonic() >= ends:
                raise TimeoutError(f"batch {id} has not ended after {seconds:g} s")
            time.sleep(pause)
        return found

    def results(self, id: str, after: int = 0) -> Iterator[dict[str, Any]]:
        """Yield what became of the lines after that one, in their order; while the batch runs, of those that are done.

        Each has its `line` (from 1) and either `result` or `problem`. A connection that breaks is taken up again.
        """
        lost = 0
        while True:
            try:
                for result in self._results(id, after):
                    after, lost = result["line"], 0
                    yield result
                return
            except (*LOST, ValueError) as error:  # a line that breaks off is no JSON
                lost += 1
                if lost >= self._retries.attempts:
                    raise NoAnswer(f"the results of batch {id} break off: {error}") from error
                time.sleep(self._retries.pause(lost, None))

    def _results(self, id: str, after: int) -> Iterator[dict[str, Any]]:
        response: requests.Response = self._send(
            "GET", f"/v1/batches/{step(id)}/results", query={"after": after}, headers={"Accept": _NDJSON}, stream=True
        )
        with response:
            for line in response.iter_lines(chunk_size=2**16, delimiter=b"\n"):
                if line:
                    yield json.loads(line)
