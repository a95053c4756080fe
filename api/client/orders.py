"""Orders: the panels of each, their revisions, and what follows from them."""

from collections.abc import Iterator
from typing import Any
from typing import cast

from .answers import Document
from .answers import File
from .answers import OrderSummary
from .answers import Revision
from .answers import RevisionSummary
from .answers import Tagged
from .transport import Transport
from .transport import conditions
from .transport import step


class Orders(Transport):
    """The part of the client that knows the orders. A `revision` that is not said is the newest."""

    def orders(self, text: str | None = None) -> Iterator[OrderSummary]:
        """Yield the orders, by their names: all, or those with a text in theirs."""
        return self._every("/v1/orders", "orders", {"text": text})

    def panels(self, order: str) -> Iterator[RevisionSummary]:
        """Yield the panels of an order, each with its newest revision."""
        return self._every(f"/v1/orders/{step(order)}/panels", "panels")

    def put_panel(
        self, order: str, designation: str, document: Document, *, if_match: str | None = None, create: bool = False
    ) -> Tagged[Revision]:
        """Store the first revision of a panel (`create`), or the one after that whose etag is given, and rate it."""
        return self._tagged("PUT", _panel(order, designation), document=document, headers=conditions(if_match, create))

    def panel(self, order: str, designation: str, revision: int | None = None) -> Tagged[Revision]:
        """Return a revision of a panel, with its document and its rating."""
        return self._tagged("GET", _panel(order, designation), query={"revision": revision})

    def revisions(self, order: str, designation: str) -> Iterator[RevisionSummary]:
        """Yield the revisions of a panel, the newest first."""
        return self._every(f"{_panel(order, designation)}/revisions", "revisions")

    def mark_shipped(self, order: str, designation: str, revision: int) -> RevisionSummary:
        """Note that a revision was shipped; a second time changes nothing."""
        path = f"{_panel(order, designation)}/revisions/{revision}/shipped"
        return cast(RevisionSummary, self._json("PUT", path))

    def panel_rating(
        self, order: str, designation: str, revision: int | None = None, *, derivation: str | None = None
    ) -> Document:
        """Return the rating of a revision, as it was given; derivation: full, short or none of it."""
        path = f"{_panel(order, designation)}/rating"
        return cast(Document, self._json("GET", path, query={"revision": revision, "derivation": derivation}))

    def panel_nameplate(
        self,
        order: str,
        designation: str,
        form: str = "pdf",
        *,
        revision: int | None = None,
        size: str | None = None,
        code: str | None = None,
        dpi: int | None = None,
    ) -> File:
        """Return the nameplate of a revision: `form` is json, svg, pdf or png; `size` in millimetres, as in "100x60".

        Raises Problem (409) with the reason where the panel gets none.
        """
        query = {"revision": revision, "format": form, "size": size, "code": code, "dpi": dpi}
        return self._file(f"{_panel(order, designation)}/nameplate", query)

    def panel_report(
        self,
        order: str,
        designation: str,
        form: str = "pdf",
        *,
        revision: int | None = None,
        paper: str | None = None,
        symbols: str | None = None,
    ) -> File:
        """Return the report of a revision: form html, pdf or markdown; paper a4 or letter; symbols ansi or iec."""
        query = {"revision": revision, "format": form, "paper": paper, "symbols": symbols}
        return self._file(f"{_panel(order, designation)}/report", query)

    def compare(
        self, order: str, designation: str, earlier: int | None = None, later: int | None = None
    ) -> dict[str, Any]:
        """Return what changed between two revisions and why the rating moved; by default the newest and its last."""
        path = f"{_panel(order, designation)}/compare"
        return cast(dict[str, Any], self._json("GET", path, query={"from": earlier, "to": later}))


def _panel(order: str, designation: str) -> str:
    return f"/v1/orders/{step(order)}/panels/{step(designation)}"
