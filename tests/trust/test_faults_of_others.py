"""Servers that go and come, migrations that are killed, slow clients: as `python -m tests.trust faults` tries it."""

from pathlib import Path

import pytest
from sqlalchemy.engine import URL

from tests.api.conftest import postgresql_server as postgresql_server
from tests.store.databases import fresh

from .faults import stopped
from .faults.backups import dumped
from .faults.migration import STATES
from .faults.migration import interrupted
from .faults.own_postgresql import own_postgresql
from .faults.slow import among_slow


def test_a_server_that_is_stopped_and_started_and_copied(tmp_path: Path) -> None:
    with own_postgresql() as server:
        found = stopped(server, tmp_path / "stopped")
        assert (found.losses, found.faults) == ([], []), found
        with fresh(server.url, tmp_path) as address:
            found = dumped(server, address, tmp_path / "dumped")
        assert (found.losses, found.faults) == ([], []), found


@pytest.mark.parametrize("state", STATES, ids=["none", *STATES[1:]])
def test_a_migration_that_is_killed_is_done_by_the_next(state: str, tmp_path: Path) -> None:
    kills, found = interrupted(None, tmp_path, state, 3)
    assert kills == 3
    assert (found.losses, found.faults) == ([], []), found


def test_a_migration_that_is_killed_on_a_server(postgresql_server: URL, tmp_path: Path) -> None:
    kills, found = interrupted(postgresql_server, tmp_path, "0001", 2)
    assert kills == 2
    assert (found.losses, found.faults) == ([], []), found


def test_others_are_answered_among_slow_clients(tmp_path: Path) -> None:
    answered = among_slow(f"sqlite:///{tmp_path / 'own.db'}", count=4, half_open=60)
    assert answered.faults == [], answered
