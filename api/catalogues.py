"""The catalogue as a whole: its versions, and tables that go in and come out."""

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any
from typing import Final

from flask import Blueprint
from flask import Response
from flask import request
from werkzeug.exceptions import NotFound
from werkzeug.exceptions import UnsupportedMediaType

from sccr.schema.catalogue import FORMAT
from sccr.schema.exchange import CSV
from sccr.schema.exchange import XLSX
from sccr.schema.exchange import export_csv
from sccr.schema.exchange import export_xlsx

from .access import Role
from .access import audit
from .access import caller
from .access import require
from .answers import JSON
from .answers import as_json
from .answers import require_acceptable
from .body import whole_body
from .forms import as_file
from .forms import wanted_form
from .idempotency import Settle
from .idempotency import once
from .idempotency import once_if_asked
from .paging import NUMBERS
from .paging import asked_page
from .parameters import flag
from .parameters import one_of
from .parameters import parameters
from .parameters import text
from .parts import VERSION
from .parts import version_number
from .preconditions import check_condition
from .service import service
from .store import CatalogueVersion
from .store import Delete
from .store import ReadPut
from .tables import Imported
from .tables import changes_between
from .tables import digests_of
from .tables import read_parts

blueprint = Blueprint("catalogue", __name__, url_prefix="/v1/catalogue")

_FORMS: Final = {"json": JSON, "csv": CSV, "xlsx": XLSX}
_MODES: Final = ("merge", "replace")


@blueprint.get("")
@require(Role.READ)
def get_catalogue() -> Response:
    """Return the newest version of the catalogue: its number, digest and how many parts it has."""
    require_acceptable()
    parameters({})
    newest = service().store.catalogue_version()
    if newest is None:
        raise NotFound("There is no catalogue yet. Put a part, or import a table.")
    return _answer(newest)


@blueprint.get("/versions")
@require(Role.READ)
def list_versions() -> Response:
    """List the versions of the catalogue, the newest first."""
    require_acceptable()
    asked = asked_page({}, NUMBERS)
    page = service().store.catalogue_versions(asked.after, asked.limit)
    return asked.page("versions", [asdict(version) for version in page.items], page.next)


@blueprint.get("/versions/<name:version>")
@require(Role.READ)
def get_version(version: str) -> Response:
    """Return a version of the catalogue."""
    require_acceptable()
    parameters({})
    return _answer(_version(version))


@blueprint.get("/export")
@require(Role.READ)
def export_catalogue() -> Response:
    """Return all parts of a version, the newest unless it is said, as JSON, CSV or XLSX."""
    asked = parameters({"version": version_number, "format": one_of(_FORMS.keys())})
    form = wanted_form(_FORMS, asked["format"])
    version = service().store.catalogue_version(asked["version"])
    if version is None:
        raise NotFound("The catalogue has no such version.")
    parts = [stored.document for stored in service().store.every_part(version.number)]
    response = as_file(_written(form, parts), _FORMS[form], f"catalogue-{version.number}.{form}")
    response.set_etag(_tag(version))  # whoever changes the table says by it what it was (If-Match)
    response.cache_control.no_cache = True
    response.headers[VERSION] = str(version.number)
    if asked["format"] is not None:  # else who has it in another form would be told that he has it
        response.make_conditional(request)
    return response


@blueprint.post("/import")
@require(Role.CATALOGUE)
def import_parts() -> Response:
    """Take in the parts of a table, all of them or none, as one new version; or only say what would come of it."""
    require_acceptable()
    asked = parameters({"dry_run": flag, "mode": one_of(_MODES), "note": text})
    media_type = request.mimetype
    if media_type not in _FORMS.values():
        said = f"{media_type!r}" if media_type else "nothing"
        raise UnsupportedMediaType(f"Content-Type says {said}; send {', '.join(_FORMS.values())}.")
    body = whole_body(service().settings.max_import_bytes)
    replace = asked["mode"] == "replace"

    def prepare() -> Settle:
        imported = read_parts(body, media_type)
        if asked["dry_run"]:
            report = _report(imported, replace)
            return lambda: as_json(report)
        puts = imported.puts()
        return lambda: _imported(puts, imported.rows, replace, asked["note"])

    return once_if_asked(body, prepare) if asked["dry_run"] else once(body, prepare)


def _report(imported: Imported, replace: bool) -> dict[str, Any]:
    """Return what an import would do, and everything that keeps it from being done."""
    newest = service().store.catalogue_version()
    changes = changes_between(service().store, digests_of(imported.parts), replace=replace)
    return {
        "dry_run": True,
        "valid": not imported.problems,
        "rows": imported.rows,
        **changes.counts(),
        "catalogue_version": None if newest is None else newest.number,
        "problems": [problem.as_dict() for problem in imported.problems],
    }


def _imported(puts: Sequence[ReadPut], rows: int, replace: bool, note: str | None) -> Response:
    store = service().store
    present = store.catalogue_version()
    check_condition(None if present is None else _tag(present))
    changes = changes_between(store, {put.part.part: put.digest for put in puts}, replace=replace)
    base = 0 if present is None else present.number
    version = store.apply_changes([*puts, *map(Delete, changes.removed)], caller().signature, note, base)
    if version.number != base:
        audit("catalogue.import", str(version.number), digest=version.digest, **changes.counts())
    report = {"dry_run": False, "valid": True, "rows": rows, **changes.counts(), "problems": []}
    response = as_json({**report, "catalogue_version": version.number}, 201 if version.number != base else 200)
    response.set_etag(_tag(version))
    response.headers["Location"] = f"/v1/catalogue/versions/{version.number}"
    response.headers[VERSION] = str(version.number)
    return response


def _version(number: str) -> CatalogueVersion:
    readable = number.isascii() and number.isdigit() and len(number) <= 12
    found = service().store.catalogue_version(int(number)) if readable else None
    if found is None:
        raise NotFound("The catalogue has no such version.")
    return found


def _answer(version: CatalogueVersion) -> Response:
    response = as_json(asdict(version))
    response.set_etag(_tag(version))
    response.cache_control.no_cache = True
    response.headers[VERSION] = str(version.number)
    response.vary.add("Accept")
    response.make_conditional(request)
    return response


def _tag(version: CatalogueVersion) -> str:
    """Return what names a version of the catalogue, in this database and in others."""
    return f"{version.number}-{version.digest}"


def _written(form: str, parts: Sequence[dict[str, Any]]) -> bytes:
    if form == "csv":
        return export_csv(parts)
    if form == "xlsx":
        return export_xlsx(parts)
    return as_json({"format": FORMAT, "parts": parts}).get_data()
