"""Who is calling."""

from dataclasses import dataclass
from typing import Final

from flask import g

from .roles import Role


@dataclass(frozen=True, slots=True)
class Caller:
    """Who sent a request: the key's id and name, None and a plain word where no key was asked for; and the role."""

    key_id: str | None
    name: str
    role: Role | None

    @property
    def signature(self) -> str:
        """Return who it was, for what is kept: two keys may be called alike."""
        return self.name if self.key_id is None else f"{self.name} ({self.key_id})"


#: Nobody in particular, on a route that everybody may call.
PUBLIC: Final = Caller(None, "public", None)

#: Whoever reaches a service that runs open.
OPEN: Final = Caller(None, "open", Role.ADMIN)


def caller() -> Caller:
    """Return who sent the request that is being answered."""
    found = g.get("caller", PUBLIC)
    assert isinstance(found, Caller)
    return found


def name_caller(who: Caller) -> None:
    """Note who sent the request that is being answered."""
    g.caller = who
