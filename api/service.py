"""What every request of one application shares."""

from dataclasses import dataclass
from typing import ClassVar

from flask import current_app

from .settings import Settings
from .store import Store


@dataclass(frozen=True, slots=True)
class Service:
    """The settings, and where everything is kept."""

    NAME: ClassVar[str] = "sccr"

    settings: Settings
    store: Store


def service() -> Service:
    """Return what the application of this request shares."""
    shared = current_app.extensions[Service.NAME]
    assert isinstance(shared, Service)
    return shared
