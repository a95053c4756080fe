"""A database that fails for a while, whose clock jumps, that is copied: as `python -m tests.trust faults` tries it."""

from pathlib import Path

from sqlalchemy.engine import URL

from tests.api.conftest import postgresql_server as postgresql_server

from .faults import full_disk
from .faults import moved_away
from .faults import written_to_no_more
from .faults.backups import copied
from .faults.clock_jump import HOUR
from .faults.clock_jump import jumped
from .faults.struck import limited
from .faults.struck import struck
from .faults.whole import Held


def nothing_wrong(found: Held) -> bool:
    return (found.losses, found.faults) == ([], []) and found.acknowledged > 0


def test_a_full_disk(tmp_path: Path) -> None:
    found = full_disk(tmp_path)
    assert nothing_wrong(found), found


def test_a_file_that_may_not_grow(tmp_path: Path) -> None:
    found = struck(f"sqlite:///{tmp_path / 'own.db'}", tmp_path / "service", *limited(), seconds=0.6)
    assert nothing_wrong(found), found


def test_a_file_that_is_moved_away_and_back(tmp_path: Path) -> None:
    found = moved_away(tmp_path)
    assert nothing_wrong(found), found


def test_a_server_that_takes_no_changes(postgresql_server: URL, tmp_path: Path) -> None:
    found = written_to_no_more(postgresql_server, tmp_path / "service")
    assert nothing_wrong(found), found


def test_a_clock_that_is_set_back(tmp_path: Path) -> None:
    found = jumped(f"sqlite:///{tmp_path / 'own.db'}", tmp_path / "service", (-36 * HOUR,))
    assert nothing_wrong(found), found


def test_a_copy_made_under_load_is_whole_and_takes_the_place_of_what_was_lost(tmp_path: Path) -> None:
    found = copied(tmp_path / "copied", 1)
    assert nothing_wrong(found), found
