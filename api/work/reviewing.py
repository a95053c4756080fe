"""After a change of the catalogue: the panels that use a changed part, rated before and after it.

Each version is reviewed once, in its turn, against the version before it. How far the review is stands in the audit
log, written in one transaction with what is announced; a claim keeps two workers from reviewing the same panels.
"""

import logging
from dataclasses import asdict
from dataclasses import dataclass
from typing import Any
from typing import Final

from sccr.errors import SccrError

from ..addresses import step
from ..operations import rate_in_time
from ..refusals import Refusal
from ..service import service
from ..store import Page
from ..store import Revision
from ..store import Store
from ..store import Unavailable
from ..store import parts_named
from ..webhook_events import RATING_CHANGED
from ..webhook_events import announce

_LOG: Final = logging.getLogger("sccr.service")
_ACTION: Final = "catalogue.review"
#: Parts that are looked for at once: a database takes so many parameters and no more.
_PARTS: Final = 1_000
_PANELS: Final = 20


@dataclass(frozen=True, slots=True)
class _Place:
    """Where the review is: at a version, among its changed parts from `chunk` on, after the panel `after`."""

    version: int
    chunk: int = 0
    after: str | None = None
    ended: bool = False


class Review:
    """A worker's way through the versions of the catalogue."""

    def __init__(self) -> None:
        self._done = 0

    def do_some(self) -> bool:
        """Review some panels of the oldest version that is not done; return whether there was anything to do."""
        store = service().store
        newest = store.catalogue_version()
        if newest is None or newest.number == self._done:
            return False  # the audit log, which may be long, is not asked again and again
        place = _next_place(store)
        if place.version > newest.number:
            self._done = newest.number
            return False
        claim = store.claim(_ACTION, f"{place.version} {place.chunk} {place.after or ''}", "")
        if claim.state != "new":
            return False  # another worker is at it
        following, changes = _reviewed(store, place)
        with store.transaction():
            if store.finish(claim, 200, (), b""):
                for change in changes:
                    announce(store, RATING_CHANGED, change)
                store.write_audit(_ACTION, str(place.version), {**asdict(following), "announced": len(changes)})
        return True


def _next_place(store: Store) -> _Place:
    written = store.audit(limit=1, action=_ACTION).items
    if not written:
        return _Place(1)
    place = _Place(**{name: value for name, value in written[0].detail.items() if name != "announced"})
    return _Place(place.version + 1) if place.ended else place


def _reviewed(store: Store, place: _Place) -> tuple[_Place, list[dict[str, Any]]]:
    """Return where the next panels begin, and what has changed of these."""
    if not any(RATING_CHANGED in hook.events for hook in store.webhooks() if hook.disabled_at is None):
        return _Place(place.version, ended=True), []  # nobody wants to know
    changed = store.changed_parts(place.version)
    chunk, page = _panels(store, place, changed)
    earlier = frozenset(changed[: chunk * _PARTS])
    new = [panel for panel in page.items if earlier.isdisjoint(parts_named(panel.document))]  # else they had their turn
    changes = [change for panel in new if (change := _change(panel, place.version))]
    if page.next is not None:
        return _Place(place.version, chunk, page.next), changes
    more = (chunk + 1) * _PARTS < len(changed)
    return _Place(place.version, chunk + 1, ended=not more), changes


def _panels(store: Store, place: _Place, changed: tuple[str, ...]) -> tuple[int, Page[Revision]]:
    """Return the next panels, and the chunk of parts that they use; chunks that no panel uses are passed over."""
    chunk, after = place.chunk, place.after
    while True:
        some = changed[chunk * _PARTS : (chunk + 1) * _PARTS]
        page: Page[Revision] = store.panels_using(some, after, _PANELS)
        if page.items or (chunk + 1) * _PARTS >= len(changed):
            return chunk, page
        chunk, after = chunk + 1, None


def _change(panel: Revision, version: int) -> dict[str, Any] | None:
    """Return what a version of the catalogue has changed of the rating of a panel, None where nothing."""
    if panel.catalogue_version is not None and panel.catalogue_version >= version:
        return None  # it was rated after the change
    before, after = (_outcome(panel.document, number) for number in (version - 1, version))
    if before == after:
        return None
    address = f"/v1/orders/{step(panel.order)}/panels/{step(panel.designation)}"
    return {
        "order": panel.order,
        "designation": panel.designation,
        "revision": panel.revision,
        "record": panel.record_id,
        "shipped": panel.shipped_at is not None,
        "catalogue_version": version,
        "before": before,
        "after": after,
        "links": {"panel": address, "record": f"/v1/records/{panel.record_id}"},
    }


def _outcome(document: dict[str, Any], version: int) -> dict[str, Any]:
    """Return what a panel is worth by a version of the catalogue."""
    try:
        catalogue = service().store.catalogue_for(document, version) if version else None
        rating = rate_in_time(document, catalogue)
    except SccrError:  # a part of it is not in the catalogue
        return {"status": "not_rated", "rating": None}
    except Refusal:
        return {"status": "not_known", "rating": None}
    except Unavailable:
        raise
    except Exception as error:  # one panel must not keep the others from their review
        _LOG.error("panel not reviewed", exc_info=error)
        return {"status": "not_known", "rating": None}
    return {"status": rating.status, "rating": rating.as_dict()["rating"]}
