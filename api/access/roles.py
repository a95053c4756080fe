"""What a caller may do: four roles, each of which may do all that the one before it may; and whom a route is for.

========== ====== ==============================================================================================
role       letter may
========== ====== ==============================================================================================
read       r      see editions, parts, orders, records, nameplates, reports and metrics
rate       t      also rate panels: rate without keeping, store revisions of orders, send batches
catalogue  c      also change the catalogue: put, delete and import parts
admin      a      also make and revoke keys, set webhooks, read the audit log
========== ====== ==============================================================================================
"""

from collections.abc import Callable
from enum import IntEnum
from typing import Any
from typing import Final
from typing import TypeVar

from flask import Flask

View = TypeVar("View", bound=Callable[..., Any])

_DECISION: Final = "_sccr_access"


class Role(IntEnum):
    """What a caller may do; a higher role may do all that a lower one may."""

    READ = 1
    RATE = 2
    CATALOGUE = 3
    ADMIN = 4

    @classmethod
    def named(cls, name: str) -> "Role":
        """Return the role of a name ("read"); ValueError where there is none."""
        try:
            return _BY_NAME[name]
        except KeyError:
            raise ValueError(f"no role is called {name!r}; there are {', '.join(_BY_NAME)}") from None

    @property
    def label(self) -> str:
        """Return its name, as it is stored and written."""
        return self.name.lower()

    @property
    def letter(self) -> str:
        """Return the letter that marks its keys: rate has t, since read has r."""
        return _LETTERS[self]


_BY_NAME: Final = {role.label: role for role in Role}
_LETTERS: Final = {Role.READ: "r", Role.RATE: "t", Role.CATALOGUE: "c", Role.ADMIN: "a"}


class UndecidedRoute(RuntimeError):
    """A route of the application says neither which role it asks for nor that it is public."""


def require(role: Role) -> Callable[[View], View]:
    """Mark a view as open to callers of a role, and of the roles above it."""
    return _decided(role)


def public(view: View) -> View:
    """Mark a view as open to everybody, with a key or without."""
    return _decided(None)(view)


def _decided(decision: Role | None) -> Callable[[View], View]:
    def mark(view: View) -> View:
        setattr(view, _DECISION, decision)
        return view

    return mark


def role_of(app: Flask, endpoint: str) -> Role | None:
    """Return the role that a route asks for, None where it is public.

    A route that was added after the application was checked, and never decided, is for the highest role only.
    """
    role: Role | None = getattr(app.view_functions[endpoint], _DECISION, Role.ADMIN)
    return role


def require_decisions(app: Flask) -> None:
    """Raise UndecidedRoute unless every route says whom it is for: nothing is open because it was forgotten."""
    undecided = sorted(name for name, view in app.view_functions.items() if not hasattr(view, _DECISION))
    if undecided:
        raise UndecidedRoute(f"@require(Role…) or @public is missing on {', '.join(undecided)}")
