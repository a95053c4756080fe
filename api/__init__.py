"""The service: HTTP around the engine, and the command line; nothing here decides a rating.

`create_app` is imported when it is first asked for: the command line rates without what the service is built on.
"""

from typing import TYPE_CHECKING
from typing import Any

if TYPE_CHECKING:
    from .app import create_app as create_app

__all__ = ["create_app"]


def __getattr__(name: str) -> Any:
    if name == "create_app":
        from .app import create_app

        return create_app
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
