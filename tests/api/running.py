"""The real service in processes of its own, for tests that call it as others do."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from .forked import forked


@contextmanager
def running(database: str, **settings: Any) -> Iterator[str]:
    """Start the service on a database, on a free port; yield its address."""
    kinds: dict[str, Any] = {"catalogue": Path, "webhook_targets": tuple}
    given = {name: kinds[name](value) if name in kinds else value for name, value in settings.items()}
    with forked({"database": database, **given}) as service:
        yield service.address()
