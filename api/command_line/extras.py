"""What is missing of an installation, and the extra that brings it."""

from typing import Final

import click

#: The extra of each package that is none of the service.
_EXTRAS: Final = {
    "psycopg": "postgres",
    "requests": "client",
    "fontTools": "reports",
    "jinja2": "reports",
    "ppf": "reports",
    "pypdfium2": "reports",
    "reportlab": "reports",
    "segno": "reports",
    "highspy": "upgrade",
    "numpy": "upgrade",
}


def not_installed(what: str, missing: ModuleNotFoundError) -> click.ClickException:
    """Return the error that names the extra which brings a missing module; `what` needs it, in the plural or not."""
    extra = _EXTRAS.get((missing.name or "").partition(".")[0], "service")
    return click.ClickException(f"{what} is not installed ({missing}): pip install 'sccr[{extra}]'")
