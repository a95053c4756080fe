"""What webhooks are told: the events, each with what it says."""

from collections.abc import Mapping
from typing import Any
from typing import Final

from .answers import as_json
from .store import IMPACTS
from .store import Batch
from .store import Store
from .store import utc_now
from .store.times import stamp

BATCH_ENDED: Final = "batch.ended"
IMPACT_ENDED: Final = "impact.ended"
RATING_CHANGED: Final = "panel.rating_changed"

#: Every event that there is, and when it comes.
EVENTS: Final = {
    BATCH_ENDED: "A batch is done, was cancelled, or cannot go on.",
    IMPACT_ENDED: "A run over the fleet is done, was cancelled, or cannot go on.",
    RATING_CHANGED: "The newest revision of a panel would be rated otherwise, since the catalogue has changed.",
}


def announce(store: Store, event: str, data: Mapping[str, Any]) -> None:
    """Have an event sent to whoever wants it; within the transaction of what it tells of."""
    message = {"type": event, "timestamp": stamp(utc_now()), "data": data}
    store.announce(event, as_json(message).get_data(as_text=True))


def announce_end(store: Store, batch: Batch) -> None:
    """Announce that a batch, or a run over the fleet, has ended."""
    of_fleet = batch.kind == IMPACTS
    address = f"/v1/{'impacts' if of_fleet else 'batches'}/{batch.id}"
    counts = {"total": batch.total, "done": batch.done, "failed": batch.failed}
    links = {"self": address, "results": f"{address}/results"}
    event = IMPACT_ENDED if of_fleet else BATCH_ENDED
    announce(store, event, {"id": batch.id, "state": batch.state, **counts, "links": links})
