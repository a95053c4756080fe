"""`sccr verify` as whoever keeps the records calls it."""

import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from api.command_line import main
from api.store import NewRecord
from api.store import Store
from tests.api.prepared import DESIGNATION
from tests.api.prepared import ELEVATOR
from tests.api.prepared import ORDER
from tests.api.prepared import RECORDS
from tests.api.prepared import prepared_store


def run(folder: Path, *arguments: str) -> tuple[int, str, str]:
    command = ["verify", *arguments, "--database", f"sqlite:///{folder / 'prepared.db'}"]
    found = CliRunner().invoke(main, command)
    return found.exit_code, found.stdout, found.stderr


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with closing(prepared_store(tmp_path)) as opened:
        yield opened


def keep_changed(store: Store, order: str | None = None, **changed: Any) -> str:
    """Keep a record as an engine would have given it that differs from that of today; return its id."""
    found = store.record(RECORDS[1])
    assert found is not None
    result = {**deepcopy(found.result), **changed}
    return store.append_record(NewRecord(found.document, result, "ERP", catalogue_version=2, order=order)).id


def higher(result: dict[str, Any]) -> dict[str, Any]:
    return {"rating": {**result["rating"], "current": "22 kA", "current_amperes": 22_000, "text": "22 kA"}}


@pytest.mark.usefixtures("store")
def test_each_record_is_rated_with_the_catalogue_of_its_time(tmp_path: Path) -> None:
    assert run(tmp_path) == (0, "2 records rated again: 0 differ\n", "")


def test_what_the_rating_was_made_by_is_no_difference(store: Store, tmp_path: Path) -> None:
    found = store.record(RECORDS[1])
    assert found is not None
    keep_changed(store, method={**found.result["method"], "engine_version": "0.0.1"})

    assert run(tmp_path)[:2] == (0, "3 records rated again: 0 differ\n")


def test_a_rating_that_moved_is_told_with_why(store: Store, tmp_path: Path) -> None:
    found = store.record(RECORDS[1])
    assert found is not None
    id = keep_changed(store, **higher(found.result))
    status, out, _ = run(tmp_path)

    assert status == 1
    assert out.startswith(f"{id}  {DESIGNATION}, 20")
    assert "the rating goes from 22 kA to 18 kA" in out
    assert "/rating/current_amperes" in out
    assert out.endswith("3 records rated again: 1 differs\n")


def test_a_word_that_differs_is_told_as_json(store: Store, tmp_path: Path) -> None:
    found = store.record(RECORDS[1])
    assert found is not None
    components = deepcopy(found.result["components"])
    components[1]["because"] = "as it was said once"
    id = keep_changed(store, components=components, derivation=found.result["derivation"][:-1])
    status, out, err = run(tmp_path, "--format", "json")
    [told] = [json.loads(line) for line in out.splitlines()]

    assert status == 1
    assert told["record"] == id
    assert told["differing"] == ["/components/1/because", "/derivation"]
    assert err == "3 records rated again: 1 differs\n"


def test_a_document_that_is_refused_today_is_told(store: Store, tmp_path: Path) -> None:
    found = store.record(RECORDS[1])
    assert found is not None
    store.append_record(NewRecord(found.document, found.result, "ERP"))
    status, out, _ = run(tmp_path)

    assert status == 1
    assert "the document is refused today: /components/0/kind" in out


def test_a_record_that_was_tampered_with_is_told(store: Store, tmp_path: Path) -> None:
    store.close()
    with closing(sqlite3.connect(tmp_path / "prepared.db")) as database:
        for (name,) in database.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            database.execute(f'DROP TRIGGER "{name}"')
        database.execute("UPDATE records SET current_ma = 65000000 WHERE id = ?", (RECORDS[0],))
        database.commit()
    status, out, _ = run(tmp_path)

    assert status == 1
    assert out.startswith(RECORDS[0]) and "damaged" in out


def test_some_records_only(store: Store, tmp_path: Path) -> None:
    found = store.record(RECORDS[1])
    assert found is not None
    id = keep_changed(store, **higher(found.result))

    assert run(tmp_path, *RECORDS)[0] == 0
    assert run(tmp_path, "--order", ORDER)[1] == "2 records rated again: 0 differ\n"
    assert run(tmp_path, "--part", ELEVATOR["components"][0]["part"])[1].endswith("3 records rated again: 1 differs\n")
    assert run(tmp_path, id)[0] == 1


@pytest.mark.parametrize("left", [None, b"", b"a letter to a customer"], ids=["nothing", "empty", "letter"])
def test_a_mistyped_path_is_told_and_makes_nothing(tmp_path: Path, left: bytes | None) -> None:
    if left is not None:
        (tmp_path / "prepared.db").write_bytes(left)
    status, out, err = run(tmp_path)

    assert (status, out) == (1, "")
    assert "no database" in err or "no SQLite database" in err
    assert [file.read_bytes() for file in tmp_path.iterdir()] == ([] if left is None else [left])


def test_a_database_of_something_else_is_told(tmp_path: Path) -> None:
    with closing(sqlite3.connect(tmp_path / "prepared.db")) as database:
        database.execute("CREATE TABLE letters (text)")
    status, out, err = run(tmp_path)

    assert (status, out) == (1, "")
    assert "keeps nothing in it" in err
    with closing(sqlite3.connect(tmp_path / "prepared.db")) as database:
        assert database.execute("SELECT name FROM sqlite_master").fetchall() == [("letters",)]


@pytest.mark.usefixtures("store")
def test_a_record_that_is_not_there(tmp_path: Path) -> None:
    status, _, err = run(tmp_path, "01JJY0M8TT9CQ8Z5B2W7E4R6K9")

    assert status == 2
    assert "there is no record" in err
    assert run(tmp_path, RECORDS[0], "--order", ORDER)[0] == 2
