"""Whether the service lives, and whether it can rate."""

import logging
from collections.abc import Callable
from collections.abc import Mapping
from typing import Final

from flask import Blueprint
from flask import Flask
from flask import Response
from flask import current_app

import sccr
from sccr.editions import DEFAULT_EDITION
from sccr.editions import editions

from .access import access
from .access import public
from .answers import as_json
from .problem_types import PROBLEM_TYPES
from .problems import problem
from .service import service

_LOG: Final = logging.getLogger("sccr.service")

blueprint = Blueprint("health", __name__, url_prefix="/health")


@blueprint.get("/live")
@public
def live() -> Response:
    """Answer, which is all that this asks of the process."""
    return as_json({"status": "pass", "version": sccr.__version__})


def add_check(app: Flask, name: str, check: Callable[[], bool]) -> None:
    """Have an application ready only while a check of its own passes, too: one that returns False or raises fails."""
    _added(app)[name] = check


@blueprint.get("/ready")
@public
def ready() -> Response:
    """Say whether everything is there that a rating needs, and whether the service runs open."""
    every = {**CHECKS, **_added(current_app)}
    checks = {name: _passes(name, check) for name, check in every.items()}
    state = {name: "pass" if passes else "fail" for name, passes in checks.items()}
    if all(checks.values()):
        door = "open" if access().is_open() else "keys"
        return as_json({"status": "pass", "version": sccr.__version__, "checks": state, "access": door})
    failing = ", ".join(name for name, passes in checks.items() if not passes)
    return problem(PROBLEM_TYPES["not-ready"], f"Not ready: {failing}.", more={"checks": state})


def _rule_sets() -> bool:
    """Whether there are rule sets, the default among them."""
    return DEFAULT_EDITION in editions()


def _tables() -> bool:
    """Whether the tables of every rule set are read."""
    return all(rules.tables_digest() for rules in editions().values())


def _catalogue() -> bool:
    """Whether the catalogue is there, where one is set."""
    return service().settings.catalogue is None or service().store.catalogue_version() is not None


CHECKS: Final[Mapping[str, Callable[[], bool]]] = {
    "rule_sets": _rule_sets,
    "tables": _tables,
    "catalogue": _catalogue,
}


def _added(app: Flask) -> dict[str, Callable[[], bool]]:
    added: dict[str, Callable[[], bool]] = app.extensions.setdefault("sccr.checks", {})
    return added


def _passes(name: str, check: Callable[[], bool]) -> bool:
    try:
        return check()
    except Exception:
        _LOG.exception("check failed", extra={"fields": {"check": name}})
        return False
