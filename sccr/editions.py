"""The editions that a panel may be rated by: the seam behind which each standard keeps its own rules.

A rule set takes a panel and returns a rating; the walk of the document, the diagram and the reports know no more of it.
"""

from functools import cache
from typing import Protocol

from sccr.errors import UnknownEdition
from sccr.panel.panel import Panel
from sccr.result import Rating

DEFAULT_EDITION = "UL 508A:2018"


class RuleSet(Protocol):
    """One edition of one standard."""

    @property
    def id(self) -> str:
        """The name by which a document asks for it."""

    @property
    def title(self) -> str:
        """What it is, in words."""

    @property
    def standard(self) -> str:
        """The standard that it is an edition of."""

    @property
    def status(self) -> str:
        """'current' or 'superseded'."""

    def tables_digest(self) -> str:
        """Return the digest of every table that the rules read."""

    def rate(self, panel: Panel) -> Rating:
        """Return the rating of a panel."""


@cache
def editions() -> dict[str, RuleSet]:
    """Return every rule set by its name, the default first."""
    from sccr.csa286.editions import EDITIONS as BY_CSA
    from sccr.iec61439.editions import EDITIONS as BY_IEC
    from sccr.ul508a.editions import EDITIONS as BY_UL

    return {rule_set.id: rule_set for rule_set in (*BY_UL, *BY_CSA, *BY_IEC)}


def rule_set(edition: str) -> RuleSet:
    """Return the rule set of an edition. Raises UnknownEdition, which names those that exist."""
    known = editions()
    if edition not in known:
        raise UnknownEdition(edition, known)
    return known[edition]
