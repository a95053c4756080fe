"""What the tests of the store share: each kind of database, a clock that is set, and panels with their ratings."""

import json
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC
from datetime import datetime
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy.engine import URL

from api.store import NewRecord
from api.store import Store
from api.store import open_store
from sccr import Catalogue
from sccr import rate

from .databases import fresh
from .databases import postgresql

ROOT = Path(__file__).parents[2]
CATALOGUE = ROOT / "fixtures" / "catalogue" / "grain.json"
PANELS = sorted((ROOT / "fixtures" / "panels").glob("*.json"))


class SetClock:
    """A clock that stands until it is moved."""

    def __init__(self) -> None:
        self.moment = datetime(2026, 1, 31, 12, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.moment

    def move(self, seconds: float) -> None:
        self.moment += timedelta(seconds=seconds)


@pytest.fixture(scope="session")
def postgresql_server() -> Iterator[URL]:
    with postgresql() as server:
        yield server


@pytest.fixture(params=["sqlite", "postgresql"])
def server(request: pytest.FixtureRequest) -> URL | None:
    """The server of the kind of database under test; None for files. Whoever uses this is run once for each kind."""
    return request.getfixturevalue("postgresql_server") if request.param == "postgresql" else None


@pytest.fixture
def url(server: URL | None, tmp_path: Path) -> Iterator[str]:
    """The address of an empty database with the schema."""
    with fresh(server, tmp_path) as address:
        yield address


@pytest.fixture
def bare_url(server: URL | None, tmp_path: Path) -> Iterator[str]:
    """The address of a database without the schema."""
    with fresh(server, tmp_path, migrated=False) as address:
        yield address


@pytest.fixture
def clock() -> SetClock:
    return SetClock()


@pytest.fixture
def store(url: str, clock: SetClock) -> Iterator[Store]:
    with closing(open_store(url, clock=clock)) as opened:
        yield opened


@pytest.fixture(scope="session")
def parts() -> list[dict[str, Any]]:
    """The parts of the demo catalogue, as documents."""
    found = json.loads(CATALOGUE.read_bytes())["parts"]
    assert isinstance(found, list)
    return found


def panel(name: str = "all_marked") -> dict[str, Any]:
    document = json.loads((ROOT / "fixtures" / "panels" / f"{name}.json").read_bytes())
    assert isinstance(document, dict)
    return document


def rated(document: dict[str, Any], by: str = "ERP", catalogue: Catalogue | None = None, **more: Any) -> NewRecord:
    """A document with its rating, as it is given to the store."""
    catalogue = catalogue or Catalogue.from_document(CATALOGUE.read_bytes())
    return NewRecord(document, rate(document, catalogue).as_dict(), by, **more)
