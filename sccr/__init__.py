"""Short-circuit current ratings of industrial control panels: a panel goes in, a rating comes out."""

from importlib import import_module
from typing import TYPE_CHECKING
from typing import Any

from sccr.engine import load_panel as load_panel
from sccr.engine import rate as rate
from sccr.engine import rate_panel as rate_panel
from sccr.errors import InvalidDocument as InvalidDocument
from sccr.errors import MalformedJson as MalformedJson
from sccr.errors import SccrError as SccrError
from sccr.panel.panel import Panel as Panel
from sccr.result import Rating as Rating
from sccr.several import rate_editions as rate_editions
from sccr.several import rate_panel_editions as rate_panel_editions
from sccr.side_by_side import EditionRatings as EditionRatings
from sccr.version import ENGINE_VERSION as __version__

if TYPE_CHECKING:
    from sccr.many import Outcome as Outcome
    from sccr.many import rate_many as rate_many
    from sccr.schema.catalogue import Catalogue as Catalogue

__all__ = [
    "Catalogue",
    "EditionRatings",
    "InvalidDocument",
    "MalformedJson",
    "Outcome",
    "Panel",
    "Rating",
    "SccrError",
    "__version__",
    "load_panel",
    "rate",
    "rate_editions",
    "rate_many",
    "rate_panel",
    "rate_panel_editions",
]


#: Where what is imported when it is first asked for comes from: it brings marshmallow, which no start need wait for.
_LATER = {"Catalogue": "sccr.schema.catalogue", "Outcome": "sccr.many", "rate_many": "sccr.many"}


def __getattr__(name: str) -> Any:
    """Return a name that is imported when it is first asked for."""
    if name not in _LATER:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    found = getattr(import_module(_LATER[name]), name)
    globals()[name] = found
    return found
