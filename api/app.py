"""The application: what all requests go through, and a blueprint for each resource."""

from flask import Flask

from . import access
from . import addresses
from . import batches
from . import catalogues
from . import component_tables
from . import contract
from . import diagrams
from . import editions
from . import fault_currents
from . import health
from . import impacts
from . import kept_answers
from . import operations
from . import orders
from . import page
from . import parts
from . import problems
from . import ratings
from . import records
from . import requests
from . import selections
from . import store_errors
from . import upgrade_plans
from . import webhook_deliveries
from . import webhooks
from .opening import open_own_store
from .opening import take_catalogue
from .operations.metrics import blueprint as metrics
from .service import Service
from .settings import Settings
from .store import Store
from .webhook_targets import AllowList

_RESOURCES = (
    *(ratings.blueprint, records.blueprint, orders.blueprint, parts.blueprint, catalogues.blueprint),
    *(batches.blueprint, impacts.blueprint, webhooks.blueprint, webhook_deliveries.blueprint),
    *(diagrams.blueprint, component_tables.blueprint, page.blueprint),
    *(fault_currents.blueprint, selections.blueprint, upgrade_plans.blueprint),
    *(editions.blueprint, health.blueprint, metrics, contract.blueprint, problems.blueprint),
)


def create_app(settings: Settings | None = None, store: Store | None = None) -> Flask:
    """Return the WSGI application.

    Parameters
    ----------
    settings : Settings, optional
        What differs between installations.
    store : Store, optional
        Where everything is kept, its schema at the newest state; without one, that of the settings is opened. Before
        the first key is made in it, the service runs open.

    Raises
    ------
    OSError
        Where the file of the catalogue cannot be read, or there is no place for that of the database.
    sccr.SccrError
        Where it is no catalogue. A service that would rate without its parts does not start.
    StoreError
        Where the address of the database is none, or it does not answer.
    ValueError
        Where a webhook target of the settings is none.
    """
    settings = settings or Settings()
    AllowList(settings.webhook_targets)  # here, rather than when the first message is sent
    app = Flask(__name__, static_folder=None)
    app.url_map.merge_slashes = False  # a redirect would turn a POST into a page that nobody asked for
    store = store or open_own_store(settings)
    if settings.catalogue is not None:
        take_catalogue(store, settings.catalogue)
    app.extensions[Service.NAME] = Service(settings, store)
    kept_answers.keep_answers(app)
    addresses.take_names(app)
    requests.follow(app)
    operations.observe(app)
    access.guard(app, _access(settings, store))
    operations.limit_load(app, settings.most_at_once, settings.wait_seconds)
    problems.answer_errors(app)
    store_errors.answer_store_errors(app)
    health.add_check(app, "store", store.check)
    for blueprint in _RESOURCES:
        app.register_blueprint(blueprint)
    access.require_guarded(app)
    return app


def _access(settings: Settings, store: Store) -> access.Access:
    a_minute = settings.requests_a_minute
    return access.Access(store, store, None if a_minute is None else access.Buckets(a_minute))
