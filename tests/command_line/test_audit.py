"""`sccr audit` as whoever runs the service calls it."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from api import create_app
from api.command_line import main
from api.settings import Settings


def run(data: Path, *arguments: str) -> tuple[int, str, str]:
    found = CliRunner().invoke(main, [*arguments, "--data", str(data)])
    return found.exit_code, found.stdout, found.stderr


def put_a_part(data: Path, key: str) -> str:
    """Put a part by the service, and return the id of the request."""
    part = {"part": "PEA-J-30", "kind": "fuse", "fuse_class": "J", "ampere_rating": "30 A"}
    headers = {"Authorization": f"Bearer {key}", "If-None-Match": "*"}
    answer = create_app(Settings(data=data)).test_client().put("/v1/parts/PEA-J-30", json=part, headers=headers)
    assert answer.status_code == 201
    return answer.headers["X-Request-Id"]


def test_who_did_what_the_newest_first(tmp_path: Path) -> None:
    key = run(tmp_path, "keys", "create", "--role", "catalogue", "--name", "Parts desk")[1].strip()
    request = put_a_part(tmp_path, key)

    status, out, _ = run(tmp_path, "audit")

    put, made = out.splitlines()
    assert status == 0
    assert "  part.put  PEA-J-30  by Parts desk (" in put
    assert f", request {request}  " in put
    assert "  key.create  " in made and "  by no key  " in made
    assert key not in out


def test_only_what_is_asked_for_and_as_json(tmp_path: Path) -> None:
    for name in ("A", "B", "C"):
        run(tmp_path, "keys", "create", "--role", "read", "--name", name)
    id = json.loads(run(tmp_path, "keys", "list", "--format", "json")[1])[0]["id"]
    run(tmp_path, "keys", "revoke", id)

    def told(*arguments: str) -> list[tuple[str, str]]:
        lines = run(tmp_path, "audit", "--format", "json", *arguments)[1].splitlines()
        return [(entry["action"], entry["detail"]["name"]) for entry in map(json.loads, lines)]

    assert len(told()) == 4
    assert told("--action", "key.create", "--last", "2") == [("key.create", "C"), ("key.create", "B")]
    assert [action for action, _ in told("--action", "key.revoke")] == ["key.revoke"]
    assert told("--key", "nobody") == []


def test_more_than_the_store_gives_at_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("api.command_line.audit._AT_ONCE", 2)
    for name in "ABCDE":
        run(tmp_path, "keys", "create", "--role", "read", "--name", name)

    assert len(run(tmp_path, "audit")[1].splitlines()) == 5
    assert len(run(tmp_path, "audit", "--last", "3")[1].splitlines()) == 3


def test_it_makes_no_database(tmp_path: Path) -> None:
    status, _, err = run(tmp_path / "mistyped", "audit")

    assert status == 1
    assert "there is no database" in err
    assert list(tmp_path.iterdir()) == []
