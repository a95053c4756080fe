"""The forms in which an answer can be given, and the one that a caller wants."""

import re
import unicodedata
from collections.abc import Mapping
from urllib.parse import quote

from flask import Response
from flask import request
from werkzeug.exceptions import NotAcceptable


def wanted_form(forms: Mapping[str, str], named: str | None) -> str:
    """Return the name of the form that is wanted.

    Parameters
    ----------
    forms : mapping
        Names of forms, each with its media type; the first is given to who takes anything.
    named : str or None
        The form that the address asks for by name, which decides; else the header Accept does.

    Raises NotAcceptable where the header Accept excludes them all.
    """
    if named is not None:
        return named
    if not request.accept_mimetypes:
        return next(iter(forms))
    best = request.accept_mimetypes.best_match(list(forms.values()))
    found = next((name for name, media_type in forms.items() if media_type == best), None)
    if found is None:
        offered = ", ".join(forms.values())
        raise NotAcceptable(f"The answer can be {offered}; the Accept header of the request excludes them all.")
    return found


def as_file(content: bytes | str, media_type: str, name: str) -> Response:
    """Return a document as an answer, with a name for whoever saves it."""
    text = media_type.startswith("text/")
    response = Response(content, content_type=f"{media_type}; charset=utf-8" if text else media_type)
    response.headers.set("Content-Disposition", "inline", **_named(_plain(name)))
    response.vary.add("Accept")
    return response


def _plain(name: str) -> str:
    """Return a name of a file that no system takes for a path or a command."""
    kept = "".join(c if c.isalnum() or c in "-_.+= " else "_" for c in name)
    return re.sub(r"\.{2,}", "_", kept).strip(". ")[:120] or "document"


def _named(name: str) -> dict[str, str]:
    """Return the parameters of a header that names a file (RFC 6266): a header holds no letters but those of ASCII."""
    if name.isascii():
        return {"filename": name}
    letters = (c for c in unicodedata.normalize("NFKD", name) if not unicodedata.combining(c))
    plain = "".join(c if c.isascii() else "_" for c in letters)
    return {"filename": plain, "filename*": f"UTF-8''{quote(name, safe='')}"}
