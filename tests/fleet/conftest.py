"""A store of either kind for one test."""

from tests.store.conftest import clock as clock
from tests.store.conftest import postgresql_server as postgresql_server
from tests.store.conftest import server as server
from tests.store.conftest import store as store
from tests.store.conftest import url as url
