"""The installation that a command works on: its database, and what can be wrong with it."""

from collections.abc import Callable
from collections.abc import Iterator
from contextlib import closing
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING
from typing import Any
from typing import Final

import click

from .extras import not_installed

if TYPE_CHECKING:
    from ..store import Store

_UNUSABLE: Final = "the database cannot be used"
_DATABASE: Final = click.option(
    "--database",
    envvar="SCCR_DATABASE",
    help="Address of the database (SCCR_DATABASE).  [default: a file in the folder --data]",
)
_DATA: Final = click.option(
    "--data",
    envvar="SCCR_DATA",
    type=click.Path(file_okay=False, path_type=Path),
    help="Folder of the database (SCCR_DATA).  [default: that of the user]",
)


def of_installation(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the options that say whose database is meant: `database` and `data`, as of the service."""
    return _DATABASE(_DATA(command))


@contextmanager
def usable() -> Iterator[None]:
    """End the command with a message where the service is not installed, or its database cannot be used."""
    try:
        from ..opening import NoDatabase
        from ..store import StoreError

        yield
    except ModuleNotFoundError as missing:
        raise not_installed("the service", missing) from missing
    except BrokenPipeError:  # of what reads the output
        raise
    except NoDatabase as error:
        raise click.ClickException(str(error)) from error
    except (StoreError, OSError) as error:
        told = str(error)
        raise click.ClickException(told if told.startswith(_UNUSABLE) else f"{_UNUSABLE}: {told}") from error


@contextmanager
def installed_store(
    database: str | None, data: Path | None, *, create: bool = False, migrate: bool = True
) -> "Iterator[Store]":
    """Yield the store of an installation; where there is none, it is made (`create`), or the command ends."""
    with usable():
        from ..opening import open_own_store
        from ..opening import open_present_store
        from ..settings import Settings

        settings = Settings(database=database, data=data)
        with closing(open_own_store(settings) if create else open_present_store(settings, migrate=migrate)) as store:
            yield store
