"""A batch of any length goes in, and its results come out, in the memory that a short one takes."""

import json

from tests.api.conftest import database as database
from tests.api.conftest import postgresql_server as postgresql_server

from .memory import MEGABYTE
from .memory import long_batch

#: Refused with a thousand errors, and filled with spaces: much goes in and much comes out, in little time.
WRONG = {"format": "panel/1", "panel": {"designation": "P"}, "supplies": [], "components": [0] * 1_000}
LINE = json.dumps(WRONG).encode().ljust(299_999) + b"\n"


def test_no_process_takes_more_memory_for_a_longer_batch(database: str) -> None:
    run = long_batch(database, LINE, 30 * MEGABYTE)
    assert run.sent == 30 * MEGABYTE
    assert run.fetched > 12 * MEGABYTE
    assert max(run.growth.values()) < 16 * MEGABYTE, run
