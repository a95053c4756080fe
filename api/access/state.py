"""What the access of one application rests on."""

from dataclasses import dataclass
from typing import ClassVar

from flask import current_app

from .buckets import Buckets
from .store import AuditTrail
from .store import KeyStore


@dataclass(frozen=True, slots=True)
class Access:
    """Where keys are looked up, where the audit log goes, and the limit of the rate (None: none)."""

    NAME: ClassVar[str] = "sccr.access"

    keys: KeyStore
    trail: AuditTrail
    buckets: Buckets | None

    def is_open(self) -> bool:
        """Return whether whoever reaches the service may do everything, since no key was ever made."""
        return not self.keys.any_keys()


def access() -> Access:
    """Return what the access of this application rests on."""
    found = current_app.extensions[Access.NAME]
    assert isinstance(found, Access)
    return found
