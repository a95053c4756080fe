"""One request to the service: sent again where that may help, and never done twice.

A request that changes something carries an Idempotency-Key, which stays the same however often it is sent.
"""

import json
import random
import time
import uuid
from collections.abc import Iterator
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from email.message import Message
from types import TracebackType
from typing import IO
from typing import Any
from typing import Final
from typing import Self
from urllib.parse import quote

import requests

from sccr import __version__

from .answers import File
from .answers import Tagged
from .errors import BadAddress
from .errors import NoAnswer
from .errors import Problem

_JSON: Final = "application/json"
_AGAIN: Final = frozenset({429, 502, 503, 504})
_UNDER_WAY: Final = "idempotency-key-in-use"

#: A connection that did not come about, or broke off.
LOST: Final = (requests.ConnectionError, requests.Timeout, requests.exceptions.ChunkedEncodingError)

Parameters = Mapping[str, str | int | bool | None]


@dataclass(frozen=True, slots=True)
class Retries:
    """How often a request is sent at most, and the pauses between: the first, and the longest [s]; each is doubled.

    Where the service says itself when to come back, that counts, up to the longest.
    """

    attempts: int = 5
    first_pause: float = 0.25
    longest_pause: float = 30.0

    def pause(self, sent: int, asked: str | None) -> float:
        """Return after how many seconds a request is sent again that was sent so often, to differ between callers."""
        own = self.first_pause * 2.0 ** (sent - 1) * random.uniform(0.75, 1.25)
        told = float(asked) if asked and asked.isascii() and asked.isdigit() else 0.0
        return min(max(own, told), self.longest_pause)


class _Key(requests.auth.AuthBase):
    """The key of the caller; as an `auth`, so that a .netrc of the user does not take its place."""

    def __init__(self, key: str | None) -> None:
        self._key = key

    def __call__(self, request: requests.PreparedRequest) -> requests.PreparedRequest:
        if self._key is not None:
            request.headers["Authorization"] = f"Bearer {self._key}"
        return request


class Transport:
    """A connection to a service; use one in each thread, and close it, or use it as a context."""

    def __init__(
        self, base_url: str, key: str | None = None, *, retries: Retries | None = None, timeout: float = 60.0
    ) -> None:
        self._base = base_url.rstrip("/")
        self._retries = retries or Retries()
        self._timeout = timeout
        self._session = requests.Session()
        self._session.auth = _Key(key)
        self._session.headers["User-Agent"] = f"sccr-client/{__version__}"

    def close(self) -> None:
        """Close the connection."""
        self._session.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def _send(
        self,
        method: str,
        path: str,
        *,
        query: Parameters | None = None,
        headers: Mapping[str, str | None] | None = None,
        document: Any = None,
        body: bytes | IO[bytes] | None = None,
        stream: bool = False,
    ) -> requests.Response:
        """Return the answer to a request; raises Problem, or NoAnswer."""
        headers = headers or {}
        if document is not None:
            body, headers = json.dumps(document, allow_nan=False).encode(), {"Content-Type": _JSON, **headers}
        own = {"Idempotency-Key": None if method == "GET" else f'"{uuid.uuid4()}"', **headers}
        asked = {name: _written(value) for name, value in (query or {}).items() if value is not None}
        request = requests.Request(method, self._base + path, own, data=body, params=asked)
        for sent in range(1, self._retries.attempts):
            try:
                return self._once(request, sent, stream)
            except NoAnswer:
                pause = self._retries.pause(sent, None)
            except Problem as problem:
                if not _may_pass(problem):
                    raise
                pause = self._retries.pause(sent, problem.retry_after)
            time.sleep(pause)
        return self._once(request, self._retries.attempts, stream)

    def _once(self, request: requests.Request, sent: int, stream: bool) -> requests.Response:
        if hasattr(request.data, "seek"):
            request.data.seek(0)
        try:
            prepared = self._session.prepare_request(request)
            settings = self._session.merge_environment_settings(prepared.url or "", {}, stream, None, None)
            response = self._session.send(prepared, timeout=self._timeout, allow_redirects=False, **settings)
        except LOST as error:
            raise NoAnswer(f"{self._base} does not answer: {error}") from error
        except requests.RequestException as error:
            raise BadAddress(f"{self._base}: {error}") from error
        if response.status_code < 300:
            return response
        raise _problem(response, sent)

    def _json(self, method: str, path: str, **more: Any) -> Any:
        return _read(self._send(method, path, **more))

    def _tagged(self, method: str, path: str, **more: Any) -> Tagged[Any]:
        response = self._send(method, path, **more)
        return Tagged(_read(response), response.headers.get("ETag", ""))

    def _file(self, path: str, query: Parameters) -> File:
        response = self._send("GET", path, query=query, headers={"Accept": "*/*"})
        told = Message()
        told["Content-Disposition"] = response.headers.get("Content-Disposition", "")
        media_type = response.headers.get("Content-Type", "").partition(";")[0]
        return File(response.content, media_type, told.get_filename())

    def _every(self, path: str, name: str, query: Parameters | None = None) -> Iterator[Any]:
        """Yield the items of a list, page by page as they are wanted."""
        asked = dict(query or {})
        while True:
            page = self._json("GET", path, query=asked)
            yield from page[name]
            if page["next"] is None:
                return
            asked["cursor"] = page["next"]


def step(name: str) -> str:
    """Return a name as one step of a path. Raises ValueError for one that an address cannot hold."""
    if name in ("", ".", ".."):
        raise ValueError(f"{name!r} cannot be asked for by an address")
    return quote(name, safe="")


def conditions(if_match: str | None, create: bool) -> dict[str, str | None]:
    """Return the headers of a change: of the state that was seen, or of something that is to be new."""
    if create == (if_match is not None):
        raise ValueError("say either if_match, the etag of what is to be changed, or create=True")
    return {"If-Match": if_match, "If-None-Match": "*" if create else None}


def _written(value: str | int | bool | None) -> str | None:
    return str(value).lower() if isinstance(value, bool) else None if value is None else str(value)


def _may_pass(problem: Problem) -> bool:
    return problem.status in _AGAIN or problem.slug == _UNDER_WAY


def _read(response: requests.Response) -> Any:
    try:
        return response.json()
    except ValueError as error:
        raise BadAddress(f"{response.url} does not answer as the service does: {error}") from error


def _problem(response: requests.Response, sent: int) -> Problem:
    members: Any = None
    with suppress(ValueError):
        members = response.json()
    response.close()
    return Problem(
        members if isinstance(members, dict) else {}, response.status_code, sent, response.headers.get("Retry-After")
    )
