"""Who may do what: keys, roles, the limit of the rate, the audit log.

For views: mark each with `@require(Role…)` or `@public`, ask `caller()` who is calling, and `audit(…)` what changes
something. An application with a route that is not marked does not start.
"""

from .audit import audit as audit
from .buckets import Buckets as Buckets
from .caller import Caller as Caller
from .caller import caller as caller
from .guard import guard as guard
from .guard import is_this_machine as is_this_machine
from .guard import require_guarded as require_guarded
from .keys import NewKey as NewKey
from .keys import hash_of as hash_of
from .keys import new_key as new_key
from .roles import Role as Role
from .roles import UndecidedRoute as UndecidedRoute
from .roles import public as public
from .roles import require as require
from .state import Access as Access
from .state import access as access
from .store import AccessStore as AccessStore
from .store import AuditTrail as AuditTrail
from .store import KeyStore as KeyStore

__all__ = [
    "Access",
    "AccessStore",
    "AuditTrail",
    "Buckets",
    "Caller",
    "KeyStore",
    "NewKey",
    "Role",
    "UndecidedRoute",
    "access",
    "audit",
    "caller",
    "guard",
    "hash_of",
    "is_this_machine",
    "new_key",
    "public",
    "require",
    "require_guarded",
]
