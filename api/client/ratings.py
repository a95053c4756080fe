"""Ratings, records of them, and what the service says of itself."""

from collections.abc import Iterator
from typing import Any
from typing import cast

from .answers import Document
from .answers import File
from .answers import Record
from .answers import RecordSummary
from .transport import Transport
from .transport import step


class Ratings(Transport):
    """The part of the client that rates. `derivation` is full, short or none: how much of it is answered."""

    def rate(self, document: Document, *, derivation: str | None = None) -> Document:
        """Return the rating of a panel document; nothing is kept of it.

        Of a document that names `editions` these are its ratings by each of them (`format` "ratings/1").
        """
        unkeyed = {"Idempotency-Key": None}  # nothing is kept, so nothing can be done twice
        query = {"derivation": derivation}
        return cast(Document, self._json("POST", "/v1/ratings", query=query, document=document, headers=unkeyed))

    def rate_and_keep(self, document: Document, *, derivation: str | None = None) -> Record:
        """Return the record of the rating of a panel document, which is kept, with all of its derivation."""
        query = {"record": True, "derivation": derivation}
        return cast(Record, self._json("POST", "/v1/ratings", query=query, document=document))

    def rating(self, document_digest: str, *, derivation: str | None = None) -> Document:
        """Return what a document is worth now, of which a rating was kept: by its digest."""
        place = f"/v1/ratings/{step(document_digest)}"
        return cast(Document, self._json("GET", place, query={"derivation": derivation}))

    def records(
        self,
        *,
        document_digest: str | None = None,
        order: str | None = None,
        designation: str | None = None,
        part: str | None = None,
    ) -> Iterator[RecordSummary]:
        """Yield the records, the oldest first: all, or those of a document, an order, a panel, a part."""
        query = {"document_digest": document_digest, "order": order, "designation": designation, "part": part}
        return self._every("/v1/records", "records", query)

    def record(self, id: str, *, derivation: str | None = None) -> Record:
        """Return a record."""
        return cast(Record, self._json("GET", f"/v1/records/{step(id)}", query={"derivation": derivation}))

    def record_rating(self, id: str, *, derivation: str | None = None) -> Document:
        """Return the rating of a record, as it was given."""
        place = f"/v1/records/{step(id)}/rating"
        return cast(Document, self._json("GET", place, query={"derivation": derivation}))

    def record_nameplate(
        self, id: str, form: str = "pdf", *, size: str | None = None, code: str | None = None, dpi: int | None = None
    ) -> File:
        """Return the nameplate of a record: `form` is json, svg, pdf or png; `size` in millimetres, as in "100x60"."""
        query = {"format": form, "size": size, "code": code, "dpi": dpi}
        return self._file(f"/v1/records/{step(id)}/nameplate", query)

    def record_report(
        self, id: str, form: str = "pdf", *, paper: str | None = None, symbols: str | None = None
    ) -> File:
        """Return the report of a record: form html, pdf or markdown; paper a4 or letter; symbols ansi or iec."""
        return self._file(f"/v1/records/{step(id)}/report", {"format": form, "paper": paper, "symbols": symbols})

    def editions(self) -> list[dict[str, Any]]:
        """Return the editions of the method that a document may ask for, the default first."""
        return cast(list[dict[str, Any]], self._json("GET", "/v1/editions")["editions"])

    def live(self) -> dict[str, Any]:
        """Return that the service lives, and its version."""
        return cast(dict[str, Any], self._json("GET", "/health/live"))

    def ready(self) -> dict[str, Any]:
        """Return the checks of the service; raises Problem (503) while one of them fails."""
        return cast(dict[str, Any], self._json("GET", "/health/ready"))

    def metrics(self) -> str:
        """Return the counts of the service, as Prometheus reads them."""
        return self._send("GET", "/metrics").text

    def contract(self) -> dict[str, Any]:
        """Return the contract of the service (OpenAPI)."""
        return cast(dict[str, Any], self._json("GET", "/openapi.json"))

    def contract_yaml(self) -> str:
        """Return the contract of the service as it is written, with its comments."""
        return self._send("GET", "/openapi.yaml").content.decode()

    def explain(self, slug: str) -> dict[str, Any]:
        """Return the page about a kind of problem: what it is, and what to do about it."""
        return cast(dict[str, Any], self._json("GET", f"/problems/{step(slug)}"))
