"""`sccr keys` as whoever runs the service calls it."""

import json
from contextlib import closing
from pathlib import Path

import pytest
from click.testing import CliRunner

from api import create_app
from api.command_line import main
from api.opening import open_own_store
from api.settings import Settings


def run(data: Path, *arguments: str) -> tuple[int, str, str]:
    found = CliRunner().invoke(main, ["keys", *arguments, "--data", str(data)])
    return found.exit_code, found.stdout, found.stderr


def made(data: Path, role: str, name: str) -> str:
    status, out, _ = run(data, "create", "--role", role, "--name", name)
    assert status == 0
    return out.strip()


def asked(data: Path, key: str) -> tuple[int, int]:
    """Return how the service answers a key: on seeing, and on rating nothing."""
    client = create_app(Settings(data=data)).test_client()
    headers = {"Authorization": f"Bearer {key}"}
    seen = client.get("/v1/editions", headers=headers).status_code
    return seen, client.post("/v1/ratings", json={}, headers=headers).status_code


@pytest.mark.parametrize(("role", "rates"), [("read", 403), ("rate", 422), ("catalogue", 422), ("admin", 422)])
def test_the_service_takes_the_key_for_its_role(tmp_path: Path, role: str, rates: int) -> None:
    assert asked(tmp_path, made(tmp_path, role, "ERP")) == (200, rates)


def test_only_the_key_goes_to_standard_output_and_it_is_not_kept(tmp_path: Path) -> None:
    _, out, err = run(tmp_path, "create", "--role", "read", "--name", "ERP")
    key = out.removesuffix("\n")

    assert key.startswith("sccr_r_") and len(key) == 39
    assert key not in err and "ERP" in err
    assert all(key.encode() not in file.read_bytes() for file in tmp_path.iterdir())


def test_keys_are_listed_by_their_beginnings(tmp_path: Path) -> None:
    key = made(tmp_path, "rate", "press line")
    _, text, _ = run(tmp_path, "list")
    _, listed, _ = run(tmp_path, "list", "--format", "json")
    [found] = json.loads(listed)

    assert (found["role"], found["name"], found["last_used_at"]) == ("rate", "press line", None)
    assert key.startswith(found["prefix"])
    assert key not in text + listed
    assert text.startswith(found["id"])
    assert "rate" in text and "used never" in text and text.endswith("press line\n")


def test_a_revoked_key_is_refused_and_the_door_stays_shut(tmp_path: Path) -> None:
    key = made(tmp_path, "admin", "ERP")
    [found] = json.loads(run(tmp_path, "list", "--format", "json")[1])

    assert run(tmp_path, "revoke", found["id"])[0] == 0
    assert run(tmp_path, "revoke", found["id"])[0] == 0
    assert asked(tmp_path, key) == (401, 401)
    assert "revoked 20" in run(tmp_path, "list")[1]
    with closing(open_own_store(Settings(data=tmp_path))) as store:
        assert [entry.action for entry in store.audit().items] == ["key.revoke", "key.create"]


def test_an_unknown_key_is_told(tmp_path: Path) -> None:
    made(tmp_path, "read", "ERP")
    status, _, err = run(tmp_path, "revoke", "01JJY0M8TT9CQ8Z5B2W7E4R6K1")

    assert status == 1
    assert "sccr keys list" in err


@pytest.mark.parametrize("wrong", [("--role", "owner", "--name", "ERP"), ("--role", "read", "--name", " \n")])
def test_bad_input_makes_no_key(tmp_path: Path, wrong: tuple[str, ...]) -> None:
    assert run(tmp_path, "create", *wrong)[0] == 2
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("command", [("list",), ("revoke", "01JJY0M8TT9CQ8Z5B2W7E4R6K1")])
def test_only_a_key_that_is_made_makes_a_database(tmp_path: Path, command: tuple[str, ...]) -> None:
    status, _, err = run(tmp_path / "mistyped", *command)

    assert status == 1
    assert err == f"Error: there is no database {tmp_path / 'mistyped' / 'sccr.db'}\n"
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_is_no_database_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "sccr.db").write_text("a letter to a customer", "utf-8")
    status, _, err = run(tmp_path, "create", "--role", "read", "--name", "ERP")

    assert status == 1
    assert "is no SQLite database" in err
    assert (tmp_path / "sccr.db").read_text("utf-8") == "a letter to a customer"


def test_a_database_that_cannot_be_used_is_told(tmp_path: Path) -> None:
    found = CliRunner().invoke(main, ["keys", "list", "--database", "mystery://nowhere"])

    assert found.exit_code == 1
    assert found.stderr.startswith("Error: the database cannot be used")
