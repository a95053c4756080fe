"""Access: every route asked by every role, by nobody, and with a key that was taken back."""

import logging
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory

from api import create_app
from api.settings import Settings
from api.store import open_store
from tests.api.test_access_routes import TABLE
from tests.api.test_access_routes import WHO
from tests.api.test_access_routes import a_key_each
from tests.api.test_access_routes import a_revoked_key
from tests.api.test_access_routes import routes
from tests.api.test_access_routes import status_of
from tests.api.test_access_routes import treated_rightly
from tests.store.databases import fresh
from tests.trust.row import Row


def tried(nightly: bool) -> Iterator[Row]:
    """Yield a row: who is let in where, by the table of the tests; a route that stands in no table is a fault."""
    with TemporaryDirectory() as folder, fresh(None, Path(folder)) as address, closing(open_store(address)) as store:
        app, keys = create_app(Settings(data=Path(folder) / "data"), store), a_key_each(store)
        revoked = a_revoked_key(store)
        asked = [(route, who, keys.get(who)) for route in TABLE for who in WHO]
        asked += [(route, None, revoked) for route in TABLE]
        logging.disable(logging.WARNING)  # each refusal has its line there
        wrong = [route for route, who, key in asked if not treated_rightly(route, who, status_of(app, route, key))]
        logging.disable(logging.NOTSET)
        wrong += routes(app) ^ set(TABLE)
    yield Row("access", "each route, each role", len(asked), "requests", len(wrong), note=", ".join(wrong[:3]))
