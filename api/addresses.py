"""Names within addresses: an order 4711/2 or a part 1/2-RYE is one step of a path, though it holds a slash."""

import re
from collections.abc import Callable
from collections.abc import Iterable
from typing import TYPE_CHECKING
from typing import Any
from typing import Final
from urllib.parse import quote
from urllib.parse import unquote_to_bytes
from urllib.parse import urlsplit

from flask import Flask
from flask import request
from werkzeug.routing import BaseConverter

if TYPE_CHECKING:
    from _typeshed.wsgi import StartResponse
    from _typeshed.wsgi import WSGIEnvironment

#: The longest name of an order or panel in an address [characters].
LONGEST_NAME: Final = 100

#: Stands for a slash within a name while routes are looked for. No text can hold it: it is not a character.
_SLASH: Final = "\ufdd0"
_SLASH_SENT: Final = re.compile("%2f", re.IGNORECASE)
_SLASH_KEPT: Final = quote(_SLASH)


class _Name(BaseConverter):
    """One step of a path, decoded, with whatever slashes are in it."""

    regex = "[^/]+"

    def to_python(self, value: str) -> str:
        return value.replace(_SLASH, "/")

    def to_url(self, value: Any) -> str:
        return quote(str(value), safe="")


def take_names(app: Flask) -> None:
    """Let routes of the application use `<name:…>` for a step that may hold an encoded slash. Before any route."""
    app.url_map.converters["name"] = _Name
    app.wsgi_app = _keeping_slashes(app.wsgi_app)  # type: ignore[assignment,method-assign]  # as Flask recommends


def path_sent() -> str:
    """Return the path of the request, encoded, as whoever sent it wrote it."""
    return quote(request.path, errors="replace").replace(_SLASH_KEPT, "%2F")


def step(name: str) -> str:
    """Return a name as one step of a path."""
    return quote(name, safe="")


def _keeping_slashes(
    inner: "Callable[[WSGIEnvironment, StartResponse], Iterable[bytes]]",
) -> "Callable[[WSGIEnvironment, StartResponse], Iterable[bytes]]":
    """Return the application behind a door that tells an encoded slash from one that parts two steps.

    WSGI hands over a path in which both are the same; the server hands over what was sent beside it.
    """

    def kept(environ: "WSGIEnvironment", start: "StartResponse") -> Iterable[bytes]:
        sent = str(environ.get("RAW_URI") or environ.get("REQUEST_URI") or "")
        if _SLASH_SENT.search(sent):
            path = sent.partition("?")[0] if sent.startswith("/") else urlsplit(sent).path
            path = path.removeprefix(str(environ.get("SCRIPT_NAME", "")))
            environ["PATH_INFO"] = unquote_to_bytes(_SLASH_SENT.sub(_SLASH_KEPT, path)).decode("latin-1")
        return inner(environ, start)

    return kept
