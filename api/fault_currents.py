"""Fault currents: what stands upstream of a panel comes in, the currents at every point of it go out."""

import re
from collections.abc import Callable
from datetime import UTC
from datetime import date as day
from datetime import datetime
from typing import Any
from typing import Final

from flask import Blueprint
from flask import Response

from .access import Role
from .access import require
from .answers import as_json
from .answers import require_acceptable
from .body import json_body
from .idempotency import Settle
from .idempotency import once_if_asked
from .operations import in_time
from .parameters import Misread
from .parameters import parameters
from .rated import rating_tag
from .rated import read_object
from .service import service

blueprint = Blueprint("fault_currents", __name__, url_prefix="/v1")

_DATE: Final = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


def _date(value: str) -> str:
    try:
        if _DATE.fullmatch(value):
            return day.fromisoformat(value).isoformat()
    except ValueError:
        pass  # the 30th of February
    raise Misread("not-a-date", 'is no date; write it as year, month and day, such as "2026-03-31"')


@blueprint.post("/fault-currents")
@require(Role.RATE)
def calculate_fault_current() -> Response:
    """Calculate the fault currents of the site document that is the body; nothing is kept of it."""
    require_acceptable()
    date = parameters({"date": _date})["date"] or datetime.now(UTC).date().isoformat()
    body = json_body(service().settings.max_body_bytes)
    calculated = _calculation()

    def prepare() -> Settle:
        answer = in_time(service().settings.work_seconds, lambda: calculated(body, date))
        return lambda: _answer(answer, date)

    return once_if_asked(body, prepare)


def _calculation() -> Callable[[bytes, str], dict[str, Any]]:
    """Return what calculates: imported with the first calculation, and before any work in time."""
    from sccr.fault_current import fault_current
    from sccr.fault_current import record
    from sccr.schema.site import load_site

    def calculated(body: bytes, date: str) -> dict[str, Any]:
        """Return the result with its dated record: null where there is no current to document."""
        document = read_object(body)
        found = fault_current(load_site(document))
        return {**found.as_dict(), "document": None if found.available is None else record(found, date, document)}

    return calculated


def _answer(answer: dict[str, Any], date: str) -> Response:
    response = as_json(answer)
    response.set_etag(rating_tag(answer["document_digest"], {**answer["method"], "date": date}))
    response.vary.add("Accept")
    return response
