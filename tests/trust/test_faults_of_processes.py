"""What is acknowledged outlasts kill -9 and crashes: a few rounds of those of `python -m tests.trust faults`."""

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from tests.api.conftest import database as database
from tests.api.conftest import postgresql_server as postgresql_server

from .faults.asking import Load
from .faults.killed import CRASHES
from .faults.killed import killed_under_load
from .faults.served import served
from .faults.whole import Held
from .faults.whole import held


def nothing_wrong(found: Held) -> bool:
    return (found.losses, found.faults) == ([], []) and found.acknowledged > 0


def test_what_was_acknowledged_outlasts_a_kill(database: str, tmp_path: Path) -> None:
    found = killed_under_load(database, tmp_path / "service", 2, victims=("all", "work"))
    assert nothing_wrong(found), found


def test_what_was_acknowledged_outlasts_a_crash(tmp_path: Path) -> None:
    address = f"sqlite:///{tmp_path / 'own.db'}"
    found = killed_under_load(address, tmp_path / "service", 2, victims=("worker",), signals=CRASHES)
    assert nothing_wrong(found), found


@pytest.mark.parametrize(
    ("spoil", "told"),
    [
        ("DELETE FROM revisions WHERE revision = 1", "not pairs"),
        ("DELETE FROM records", "not there"),
        ("UPDATE records SET result = replace(result, '18000', '65000')", "damaged"),
        ("DELETE FROM batch_items WHERE line = 2", "counts wrong"),
        ("UPDATE batch_items SET result = NULL WHERE line = 1", "counts wrong"),
        ("DELETE FROM parts", "not there"),
    ],
    ids=["half a revision", "no records", "a changed record", "a lost line", "a lost result", "no parts"],
)
def test_a_loss_would_be_seen(spoil: str, told: str, spoiled: tuple[Load, Path], tmp_path: Path) -> None:
    load, file = spoiled
    copy = tmp_path / "copy.db"
    shutil.copyfile(file, copy)
    with closing(sqlite3.connect(copy, isolation_level=None)) as connection:
        connection.execute("PRAGMA foreign_keys = OFF")
        for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            connection.execute(f"DROP TRIGGER {name}")
        connection.execute(spoil)
    found = held(load, f"sqlite:///{copy}", complete=False)
    assert any(told in each for each in [*found.losses, *found.faults]), found


@pytest.fixture(scope="module")
def spoiled(tmp_path_factory: pytest.TempPathFactory) -> tuple[Load, Path]:
    """What was asked of a service, and its database, which is stopped."""
    folder = tmp_path_factory.mktemp("spoiled")
    file = folder / "own.db"
    with served(folder / "service", f"sqlite:///{file}") as service:
        load = Load(service, 7)
        while not all(load.ledger.of(kind) for kind in ("revision", "record", "part", "batch")):
            load.run(0.3)
        found = held(load)
        assert nothing_wrong(found), found
    assert not [each for each in folder.iterdir() if each.name.endswith("-wal")], "it is not all in its file"
    return load, file
