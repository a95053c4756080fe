"""What every request of one application shares."""

from dataclasses import dataclass
from typing import ClassVar

from flask import current_app

from sccr import Catalogue

from .settings import Settings


@dataclass(frozen=True, slots=True)
class Service:
    """The settings and the catalogue, read once when the application is made."""

    NAME: ClassVar[str] = "sccr"

    settings: Settings
    catalogue: Catalogue | None


def service() -> Service:
    """Return what the application of this request shares."""
    shared = current_app.extensions[Service.NAME]
    assert isinstance(shared, Service)
    return shared
