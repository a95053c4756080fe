"""A rating that moves is announced: the engine's version moves with it, and the change log says why."""

import re
from typing import Final

from tests.golden.kept import ROOT

#: The section of a version in the change log, and what it says of ratings.
_SECTION: Final = r"^## {version}\b.*?(?=^## |\Z)"
_RATINGS: Final = r"^### Ratings\n+(?P<said>- .+?)(?=^#|\Z)"


def explanation(version: str) -> str | None:
    """Return what the change log says of the ratings of a version, None where it says nothing."""
    log = (ROOT / "CHANGELOG.md").read_text("utf-8")
    section = re.search(_SECTION.format(version=re.escape(version)), log, re.MULTILINE | re.DOTALL)
    said = re.search(_RATINGS, section[0], re.MULTILINE | re.DOTALL) if section else None
    return said["said"].strip() if said else None
