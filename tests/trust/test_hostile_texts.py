"""A few of the texts that `python -m tests.trust input` writes everywhere, and where webhooks may not lead."""

from pathlib import Path

from tests.trust.hostile import targets
from tests.trust.hostile import texts
from tests.trust.hostile.attacked import attacked


def test_texts_are_kept_as_they_are_or_refused(tmp_path: Path) -> None:
    with attacked(tmp_path) as service:
        found = list(texts.tried(service, every=9))
        lines = service.log.read_text("utf-8").splitlines()
    assert [(name, cost.faults) for name, cost in found if cost.faults] == []
    assert all(line.startswith('{"time"') and line.isascii() and line.isprintable() for line in lines)


def test_no_webhook_leads_within(tmp_path: Path) -> None:
    assert [(name, cost.faults) for name, cost in targets.tried(tmp_path) if cost.faults] == []
