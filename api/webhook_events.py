"""What webhooks are told: the events, each with what it says."""

from collections.abc import Mapping
from typing import Any
from typing import Final

from .answers import as_json
from .store import Batch
from .store import Store
from .store import utc_now
from .store.times import stamp

BATCH_ENDED: Final = "batch.ended"
RATING_CHANGED: Final = "panel.rating_changed"

#: Every event that there is, and when it comes.
EVENTS: Final = {
    BATCH_ENDED: "A batch is done, was cancelled, or cannot go on.",
    RATING_CHANGED: "The newest revision of a panel would be rated otherwise, since the catalogue has changed.",
}


def announce(store: Store, event: str, data: Mapping[str, Any]) -> None:
    """Have an event sent to whoever wants it; within the transaction of what it tells of."""
    message = {"type": event, "timestamp": stamp(utc_now()), "data": data}
    store.announce(event, as_json(message).get_data(as_text=True))


def announce_end(store: Store, batch: Batch) -> None:
    """Announce that a batch has ended."""
    address = f"/v1/batches/{batch.id}"
    counts = {"total": batch.total, "done": batch.done, "failed": batch.failed}
    links = {"self": address, "results": f"{address}/results"}
    announce(store, BATCH_ENDED, {"id": batch.id, "state": batch.state, **counts, "links": links})
