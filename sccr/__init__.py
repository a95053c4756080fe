"""Short-circuit current ratings of industrial control panels: a panel goes in, a rating comes out."""

from sccr.engine import load_panel as load_panel
from sccr.engine import rate as rate
from sccr.engine import rate_panel as rate_panel
from sccr.errors import InvalidDocument as InvalidDocument
from sccr.errors import MalformedJson as MalformedJson
from sccr.errors import SccrError as SccrError
from sccr.panel.panel import Panel as Panel
from sccr.result import Rating as Rating
from sccr.schema.catalogue import Catalogue as Catalogue
from sccr.version import ENGINE_VERSION as __version__

__all__ = [
    "Catalogue",
    "InvalidDocument",
    "MalformedJson",
    "Panel",
    "Rating",
    "SccrError",
    "__version__",
    "load_panel",
    "rate",
    "rate_panel",
]
