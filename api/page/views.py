"""The addresses of the page and of its files. None of them tells anything of the installation: they are public."""

from typing import Final

from flask import Blueprint
from flask import Response
from flask import request
from werkzeug.exceptions import NotFound

from ..access import public
from ..answers import as_fixed
from .files import File
from .files import digest
from .files import files
from .files import index

blueprint = Blueprint("page", __name__)

_YEAR: Final = 365 * 24 * 3600


@blueprint.get("/")
@public
def read_page() -> Response:
    """Return the page."""
    response = as_fixed(_answer(index()))
    response.headers["Content-Security-Policy"] = _policy()
    return response


@blueprint.get("/page/<name:state>/<name:file>")
@public
def read_page_file(state: str, file: str) -> Response:
    """Return a file of the page; its address changes with its content, so that it may be kept for good."""
    found = files().get(file) if state == digest() else None
    if found is None:
        raise NotFound("The page has no such file, or it is of another version. Load the page again.")
    response = _answer(found)
    response.add_etag()
    response.cache_control.public = True
    response.cache_control.max_age = _YEAR
    response.cache_control.immutable = True
    response.make_conditional(request)
    return response


def _answer(file: File) -> Response:
    pressed = request.accept_encodings["gzip"] > 0
    response = Response(file.pressed if pressed else file.content, content_type=file.media_type)
    if pressed:
        response.headers["Content-Encoding"] = "gzip"
    response.vary.add("Accept-Encoding")
    return response


def _policy() -> str:
    """Return the policy of the page: its own files and its own service, and nothing of anybody else's.

    The one style that stands in a text is that of the report, which is shown in a frame without scripts, by its digest.
    """
    from sccr.report.as_html import content_security_policy  # heavy: with the first page, not with every start

    report_style = next(part for part in content_security_policy().split("; ") if part.startswith("style-src "))
    return "; ".join(
        (
            "default-src 'none'",
            "script-src 'self'",
            f"style-src 'self' {report_style.removeprefix('style-src ')}",
            "connect-src 'self'",
            "img-src 'self' blob:",
            "frame-src blob:",
            "base-uri 'none'",
            "form-action 'none'",
            "frame-ancestors 'none'",
            "require-trusted-types-for 'script'",
            "trusted-types drawing",
        )
    )
