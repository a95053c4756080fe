"""What access asks of a store; `api.store.Store` answers it."""

from collections.abc import Mapping
from collections.abc import Sequence
from typing import Any
from typing import Protocol


class StoredKey(Protocol):
    """What is stored of a key."""

    @property
    def id(self) -> str:
        """Return the name under which it can be revoked."""

    @property
    def role(self) -> str:
        """Return the name of its role."""

    @property
    def name(self) -> str:
        """Return what people call it."""

    @property
    def revoked_at(self) -> str | None:
        """Return when it was revoked, None while it holds."""


class KeyStore(Protocol):
    """Where keys are looked up."""

    def keys_beginning(self, prefix: str, /) -> Sequence[tuple[str, StoredKey]]:
        """Return each key that begins so, a revoked one too, behind its SHA-256 (64 hexadecimal digits)."""

    def touch(self, id: str, /) -> Any:
        """Note that a key was used; the store writes it down now and then."""

    def any_keys(self) -> bool:
        """Return whether a key was ever made: revoking the last one must not open the service."""


class AuditTrail(Protocol):
    """Where the entries of the audit log go."""

    def write_audit(
        self, action: str, object: str, detail: Mapping[str, Any], /, *, key_id: str | None, request_id: str | None
    ) -> Any:
        """Append an entry."""


class AccessStore(KeyStore, AuditTrail, Protocol):
    """A store of both."""
