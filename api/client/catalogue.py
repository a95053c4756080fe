"""The parts of the catalogue, and the catalogue as a whole."""

from collections.abc import Iterator
from typing import Final
from typing import cast

from .answers import CatalogueVersion
from .answers import Document
from .answers import File
from .answers import ImportReport
from .answers import Tagged
from .transport import Transport
from .transport import conditions
from .transport import step

#: What tables of parts may be written in, and the media types that they are sent as.
TABLES: Final = {
    "json": "application/json",
    "csv": "text/csv",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}


class Catalogue(Transport):
    """The part of the client that knows the catalogue."""

    def parts(self, **filters: str | int | None) -> Iterator[Document]:
        """Yield the parts that all filters want, by their number; without any, all parts.

        kind, poles, voltage ("480Y/277 V"), system, amperes_min and amperes_max ("30 A"), interrupting ("22 kA", at the
        voltage if one is given), supply ("ac", "dc"), standard, mounting, accessory, text, and version.
        """
        return self._every("/v1/parts", "parts", filters)

    def part(self, part: str, version: int | None = None) -> Tagged[Document]:
        """Return a part as a version of the catalogue has it, the newest unless it is said."""
        return self._tagged("GET", f"/v1/parts/{step(part)}", query={"version": version})

    def put_part(self, document: Document, *, if_match: str | None = None, create: bool = False) -> Tagged[Document]:
        """Put a new part into the catalogue (`create`), or change the one whose etag is given (`if_match`)."""
        path = f"/v1/parts/{step(document['part'])}"
        return self._tagged("PUT", path, document=document, headers=conditions(if_match, create))

    def delete_part(self, part: str, *, if_match: str) -> None:
        """Take a part out of the catalogue; versions before keep it."""
        self._send("DELETE", f"/v1/parts/{step(part)}", headers=conditions(if_match, create=False))

    def catalogue(self) -> Tagged[CatalogueVersion]:
        """Return the newest version of the catalogue; raises Problem (404) where there is none yet."""
        return self._tagged("GET", "/v1/catalogue")

    def catalogue_versions(self) -> Iterator[CatalogueVersion]:
        """Yield the versions of the catalogue, the newest first."""
        return self._every("/v1/catalogue/versions", "versions")

    def catalogue_version(self, number: int) -> Tagged[CatalogueVersion]:
        """Return a version of the catalogue."""
        return self._tagged("GET", f"/v1/catalogue/versions/{number}")

    def import_parts(
        self,
        table: bytes,
        form: str = "csv",
        *,
        dry_run: bool = False,
        mode: str | None = None,
        note: str | None = None,
        if_match: str | None = None,
    ) -> ImportReport:
        """Take in the parts of a table, all of them or none; `form` is csv, xlsx or json.

        dry_run: only say what would come of it. mode: "merge", or "replace", which deletes all other parts. if_match:
        the etag of the catalogue that is to be changed. Raises Problem (422) with every bad row.
        """
        headers = {"Content-Type": TABLES[form], "If-Match": if_match}
        query = {"dry_run": dry_run, "mode": mode, "note": note}
        return cast(ImportReport, self._json("POST", "/v1/catalogue/import", query=query, headers=headers, body=table))

    def export_parts(self, form: str = "csv", version: int | None = None) -> File:
        """Return all parts of a version, the newest unless it is said, as csv, xlsx or json."""
        return self._file("/v1/catalogue/export", {"format": form, "version": version})
