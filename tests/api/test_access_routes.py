"""Every route against every role, by a table written down here: a route that is new fails until it stands in it."""

from collections.abc import Iterator
from contextlib import closing

import pytest
from flask import Flask

from api import create_app
from api.access import Role
from api.access import new_key
from api.settings import Settings
from api.store import Store
from api.store import open_store
from tests.store.databases import fresh

#: The least role that each route asks for.
ROUTES = {
    "public": """
        GET /
        GET /health/live
        GET /health/ready
        GET /openapi.json
        GET /openapi.yaml
        GET /page/<name:state>/<name:file>
        GET /problems/<slug>
    """,
    "read": """
        GET /metrics
        GET /v1/batches
        GET /v1/batches/<name:batch>
        GET /v1/batches/<name:batch>/results
        GET /v1/catalogue
        GET /v1/catalogue/export
        GET /v1/catalogue/versions
        GET /v1/catalogue/versions/<name:version>
        GET /v1/editions
        GET /v1/impacts
        GET /v1/impacts/<name:impact>
        GET /v1/impacts/<name:impact>/results
        GET /v1/orders
        GET /v1/orders/<name:order>/panels
        GET /v1/orders/<name:order>/panels/<name:designation>
        GET /v1/orders/<name:order>/panels/<name:designation>/compare
        GET /v1/orders/<name:order>/panels/<name:designation>/nameplate
        GET /v1/orders/<name:order>/panels/<name:designation>/rating
        GET /v1/orders/<name:order>/panels/<name:designation>/report
        GET /v1/orders/<name:order>/panels/<name:designation>/revisions
        GET /v1/parts
        GET /v1/parts/<name:part>
        GET /v1/records
        GET /v1/records/<name:record>
        GET /v1/records/<name:record>/nameplate
        GET /v1/records/<name:record>/rating
        GET /v1/records/<name:record>/report
    """,
    "rate": """
        POST /v1/batches
        DELETE /v1/batches/<name:batch>
        POST /v1/component-tables
        POST /v1/diagrams
        POST /v1/fault-currents
        POST /v1/impacts
        DELETE /v1/impacts/<name:impact>
        PUT /v1/orders/<name:order>/panels/<name:designation>
        PUT /v1/orders/<name:order>/panels/<name:designation>/revisions/<name:revision>/shipped
        POST /v1/ratings
        GET /v1/ratings/<name:digest>
        POST /v1/selections
        POST /v1/upgrade-plans
    """,
    "catalogue": """
        POST /v1/catalogue/import
        PUT /v1/parts/<name:part>
        DELETE /v1/parts/<name:part>
    """,
    "admin": """
        GET /v1/deliveries
        GET /v1/deliveries/<name:delivery>
        POST /v1/deliveries/<name:delivery>/retry
        POST /v1/webhooks
        GET /v1/webhooks
        GET /v1/webhooks/<name:webhook>
        DELETE /v1/webhooks/<name:webhook>
    """,
}
TABLE = {route.strip(): role for role, routes in ROUTES.items() for route in routes.strip().splitlines()}
WHO = (None, *Role)


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    with fresh(None, tmp_path_factory.mktemp("routes")) as address, closing(open_store(address)) as opened:
        yield opened


@pytest.fixture(scope="module")
def app(store: Store, tmp_path_factory: pytest.TempPathFactory) -> Flask:
    return create_app(Settings(data=tmp_path_factory.mktemp("data")), store)


@pytest.fixture(scope="module")
def keys(store: Store) -> dict[Role | None, str]:
    return a_key_each(store)


def a_key_each(store: Store) -> dict[Role | None, str]:
    """Add a key for each role."""
    made = {role: new_key(role) for role in Role}
    for role, key in made.items():
        store.add_key(key.prefix, key.hash, role.label, f"a caller who may {role.label}")
    return {role: key.text for role, key in made.items()}


def a_revoked_key(store: Store) -> str:
    """Add a key of who may do everything, and take it back."""
    made = new_key(Role.ADMIN)
    store.revoke_key(store.add_key(made.prefix, made.hash, "admin", "who has left").id)
    return made.text


def routes(app: Flask) -> set[str]:
    return {
        f"{method} {rule}"
        for rule in app.url_map.iter_rules()
        for method in (rule.methods or set()) - {"HEAD", "OPTIONS"}
    }


def status_of(app: Flask, route: str, key: str | None) -> int:
    """How a route answers a caller with this key, or with none."""
    method, rule = route.split(" ")
    address = "/".join("absent" if step.startswith("<") else step for step in rule.split("/"))
    headers = {} if key is None else {"Authorization": f"Bearer {key}"}
    return app.test_client().open(address, method=method, headers=headers).status_code


def treated_rightly(route: str, who: Role | None, status: int) -> bool:
    """Whether this is how a route should answer a role, or nobody."""
    needed = TABLE[route]
    if needed == "public" or (who is not None and who >= Role.named(needed)):
        return status not in (401, 403)
    return status == (401 if who is None else 403)


def test_the_table_holds_every_route_and_no_other(app: Flask) -> None:
    assert routes(app) == set(TABLE)


@pytest.mark.parametrize("who", WHO, ids=lambda role: "nobody" if role is None else role.label)
@pytest.mark.parametrize("route", sorted(TABLE))
def test_who_may_is_let_in_and_nobody_else(
    app: Flask, keys: dict[Role | None, str], route: str, who: Role | None
) -> None:
    assert treated_rightly(route, who, status_of(app, route, keys.get(who)))


@pytest.mark.parametrize("route", sorted(TABLE))
def test_a_revoked_key_is_let_into_nothing_but_what_is_public(app: Flask, store: Store, route: str) -> None:
    assert (status_of(app, route, a_revoked_key(store)) == 401) == (TABLE[route] != "public")
