"""Who did what: added to, and never changed."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row
from sqlalchemy import select

from . import tables
from .canonical import canonical
from .database import Database
from .pages import Page
from .pages import page_of

_AUDIT = tables.audit.c


@dataclass(frozen=True, slots=True)
class AuditEntry:
    """Something that was done, to what, by whom (None: nobody who had to say), in which request."""

    id: str
    at: str
    key_id: str | None
    action: str
    object: str
    detail: dict[str, Any]
    request_id: str | None


class Audit(Database):
    """The part of the store that keeps what was done."""

    def write_audit(
        self,
        action: str,
        object: str,
        detail: Mapping[str, Any],
        *,
        key_id: str | None = None,
        request_id: str | None = None,
    ) -> AuditEntry:
        """Note what was done, and return the entry."""
        entry = AuditEntry(self.new_id(), self._now(), key_id, action, object, dict(detail), request_id)
        own = {name: getattr(entry, name) for name in AuditEntry.__slots__}
        with self._writing() as connection:
            connection.execute(tables.audit.insert(), {**own, "detail": canonical(entry.detail)})
        return entry

    def audit(
        self, after: str | None = None, limit: int = 50, *, action: str | None = None, key_id: str | None = None
    ) -> Page[AuditEntry]:
        """Return the entries before that one, the newest first: all, or those of an action or a key."""
        query = select(tables.audit).order_by(_AUDIT.id.desc()).limit(limit + 1)
        if after is not None:
            query = query.where(_AUDIT.id < after)
        for column, value in ((_AUDIT.action, action), (_AUDIT.key_id, key_id)):
            if value is not None:
                query = query.where(column == value)
        with self._reading() as connection:
            found = [_entry(row) for row in connection.execute(query)]
        return page_of(found, limit, lambda entry: entry.id)


def _entry(row: Row[Any]) -> AuditEntry:
    own = dict(row._mapping)
    return AuditEntry(**{**own, "detail": json.loads(own["detail"])})
