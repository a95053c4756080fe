"""From a site document, or the `source` of a supply, to what stands upstream, or to all that is wrong with it."""

from sccr.schema.site.document import load_site
from sccr.schema.site.document import read_source

__all__ = ["load_site", "read_source"]
