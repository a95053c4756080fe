"""What `python -m tests.trust input` sends against the rules of HTTP."""

from pathlib import Path

from tests.trust.hostile import wire
from tests.trust.hostile.attacked import attacked


def test_what_breaks_the_rules_of_http_is_refused_once(tmp_path: Path) -> None:
    with attacked(tmp_path, receive_seconds=wire.RECEIVE_SECONDS) as service:
        assert [(name, cost.faults) for name, cost in wire.tried(service) if cost.faults] == []
