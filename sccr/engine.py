"""A panel document in, a rating out."""

from collections.abc import Mapping
from typing import TYPE_CHECKING
from typing import Any

from sccr.editions import DEFAULT_EDITION
from sccr.editions import editions
from sccr.editions import rule_set
from sccr.errors import InvalidDocument
from sccr.errors import Problem
from sccr.errors import UnknownEdition
from sccr.panel.panel import Panel
from sccr.result import Rating

if TYPE_CHECKING:
    from sccr.schema.catalogue import Catalogue


def load_panel(document: Mapping[str, Any] | str | bytes, catalogue: "Catalogue | None" = None) -> Panel:
    """Return the panel of a document, typed and checked.

    Parameters
    ----------
    document : mapping, or JSON text
        A panel document (`format` "panel/1").
    catalogue : Catalogue, optional
        Where the parts that components name are looked up.

    Raises
    ------
    InvalidDocument
        With every problem of the document, each at its JSON Pointer (RFC 6901).
    MalformedJson
        Where text is given that is not JSON.
    """
    # imported with the first document: marshmallow and the schemas take longer than the rest of a start
    from sccr.schema.load import load_panel as load_document

    return load_document(document, catalogue, DEFAULT_EDITION, editions)


def rate_panel(panel: Panel) -> Rating:
    """Return the rating of a panel already loaded. Raises InvalidDocument for an edition that is not implemented."""
    try:
        rules = rule_set(panel.edition)
    except UnknownEdition as unknown:
        from sccr.schema.nearest import nearest

        near = nearest(panel.edition, unknown.known)
        remedy = f"did you mean {near!r}? " if near else ""
        problem = Problem("/edition", "unknown-edition", f"{remedy}use one of: {', '.join(editions())}")
        raise InvalidDocument([problem]) from unknown
    return rules.rate(panel)


def rate(document: Mapping[str, Any] | str | bytes, catalogue: "Catalogue | None" = None) -> Rating:
    """Return the short-circuit current rating of a panel document.

    The same document, catalogue and engine give the same rating, field for field; it keeps no state and may be
    called from several threads at once.

    Parameters
    ----------
    document : mapping, or JSON text
        A panel document; quantities are strings with their unit, such as "65 kA".
    catalogue : Catalogue, optional
        Where the parts that components name are looked up.

    Returns
    -------
    Rating
        `status` is 'rated' or 'withheld'; currents are integers [mA rms symmetrical]; `as_dict()` is the JSON
        of the contract.

    Raises
    ------
    InvalidDocument, MalformedJson
        Where the document cannot be used, or names several editions: those are rated by rate_editions.

    References
    ----------
    UL 508A, Supplement SB: SB4.2 (components), SB4.3 (current limitation), SB4.4 (the panel).
    """
    panel = load_panel(document, catalogue)
    if panel.editions:
        told = (
            "asks for a rating by each of several editions, and one is given here: write edition for that one, or have "
            "the panel rated by several at once (rate_editions, `sccr rate`, POST /v1/ratings without record)"
        )
        raise InvalidDocument([Problem("/editions", "several-editions", told)])
    return rate_panel(panel)
