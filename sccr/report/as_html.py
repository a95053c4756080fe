"""The calculation report as one page of HTML that needs nothing beside it, and prints on A4 and on letter."""

from base64 import b64encode
from collections.abc import Mapping
from functools import lru_cache
from hashlib import sha256
from importlib import resources
from typing import Any
from typing import Final

from jinja2 import Environment
from jinja2 import StrictUndefined
from jinja2 import Template
from markupsafe import Markup

from sccr.report.calculation.contents import RecordReference
from sccr.report.calculation.contents import contents
from sccr.report.diagram.as_svg import sheets
from sccr.report.diagram.symbols import Symbols
from sccr.result import Rating

_FOLDER: Final = "sccr.report.calculation"


def as_html(
    rating: Rating,
    document: Mapping[str, Any],
    *,
    symbols: Symbols = Symbols.ANSI,
    record: RecordReference | None = None,
) -> str:
    """Return the calculation report of a rated document as HTML.

    Raises
    ------
    ValueError
        Where the rating is of another document.
    """
    report = contents(rating, document, record)
    drawn = [Markup(sheet) for sheet in sheets(rating, document, symbols=symbols)]  # escaped there
    return _template().render(report=report, sheets=drawn, css=Markup(_css()), policy=content_security_policy())


@lru_cache(maxsize=1)
def content_security_policy() -> str:
    """Return the policy under which the page works: its own style, and nothing else."""
    digest = b64encode(sha256(_css().encode()).digest()).decode()
    return f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"


@lru_cache(maxsize=1)
def _css() -> str:
    return resources.files(_FOLDER).joinpath("report.css").read_text("utf-8")


@lru_cache(maxsize=1)
def _template() -> Template:
    environment = Environment(autoescape=True, undefined=StrictUndefined)
    return environment.from_string(resources.files(_FOLDER).joinpath("report.html.jinja").read_text("utf-8"))
