"""What nobody will finish any more: given up after a while."""

from datetime import timedelta
from typing import Final

from ..service import service
from ..store import utc_now
from ..store.times import stamp
from ..webhook_events import announce_end

#: After how long a batch that is still being received is given up: whoever took it in was killed.
_LOST: Final = timedelta(hours=1)


def tidy() -> None:
    """Give up batches that were never taken in whole, and forget answers that are kept no longer."""
    store = service().store
    before = stamp(utc_now() - _LOST)
    after: str | None = None
    while True:
        page = store.batches(after, state="receiving")
        for batch in page.items:
            if batch.created_at < before:
                with store.transaction():
                    announce_end(store, store.fail_batch(batch.id, "the service was stopped while it was taken in"))
        after = page.next
        if after is None:
            break
    store.forget_expired()
