"""The service: HTTP around the engine; a blueprint for each resource, and nothing here that decides a rating."""

from flask import Flask

from sccr import Catalogue

from . import contract
from . import editions
from . import health
from . import problems
from . import ratings
from . import requests
from .service import Service
from .settings import Settings

_RESOURCES = (ratings.blueprint, editions.blueprint, health.blueprint, contract.blueprint, problems.blueprint)


def create_app(settings: Settings | None = None) -> Flask:
    """Return the WSGI application.

    Parameters
    ----------
    settings : Settings, optional
        What differs between installations; the defaults serve panels that state every value themselves.

    Raises
    ------
    OSError
        Where the file of the catalogue cannot be read.
    sccr.SccrError
        Where it is no catalogue. A service that would rate without its parts does not start.
    """
    settings = settings or Settings()
    app = Flask(__name__, static_folder=None)
    app.url_map.merge_slashes = False  # a redirect would turn a POST into a page that nobody asked for
    app.extensions[Service.NAME] = Service(settings, _catalogue(settings))
    requests.follow(app)
    problems.answer_errors(app)
    for blueprint in _RESOURCES:
        app.register_blueprint(blueprint)
    return app


def _catalogue(settings: Settings) -> Catalogue | None:
    return None if settings.catalogue is None else Catalogue.from_document(settings.catalogue.read_bytes())
