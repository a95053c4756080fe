"""Parts of the catalogue that are chosen from: read once for each version, since a version never changes.

A choice looks at every part of a kind. To read them anew for each request would take seconds for a large catalogue.
"""

import threading
from collections import OrderedDict
from collections.abc import Callable
from collections.abc import Iterable
from collections.abc import Iterator
from functools import partial
from typing import Final
from typing import Generic
from typing import TypeVar

from sccr import Catalogue
from sccr.panel.kinds import kinds
from sccr.schema.catalogue import FORMAT
from sccr.schema.catalogue import Part
from sccr.selection.device import Device
from sccr.selection.device import Devices
from sccr.selection.device import device
from sccr.selection.device import may_protect
from sccr.selection.device import protects

from .service import service
from .store import CatalogueVersion
from .store import PartQuery

Value = TypeVar("Value")

#: How many versions of the catalogue are kept in each process: the newest, and one that is asked for by its number.
_VERSIONS: Final = 2
_PAGE: Final = 1_000


class _Kept(Generic[Value]):
    """What was made of versions of the catalogue, by their digest, which is the same for the same parts anywhere."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._made: OrderedDict[str, dict[str, Value]] = OrderedDict()

    def get(self, digest: str, name: str, make: Callable[[], Value]) -> Value:
        """Return what was made of a version under a name; while one thread makes it, others wait."""
        with self._lock:
            of_version = self._made.setdefault(digest, {})
            self._made.move_to_end(digest)
            if name not in of_version:
                of_version[name] = make()
            while len(self._made) > _VERSIONS:
                self._made.popitem(last=False)
            return of_version[name]


_devices: Final[_Kept[tuple[Device, ...]]] = _Kept()
_parts: Final[_Kept[dict[str, Part]]] = _Kept()


def devices_of(version: CatalogueVersion) -> Devices:
    """Return the devices of a version of the catalogue. Parts of other kinds are not read: no choice looks at them."""
    names = [name for name, kind in kinds().items() if may_protect(kind)]
    found = (_devices.get(version.digest, name, partial(_devices_of_kind, version, name)) for name in names)
    return Devices(tuple(sorted((each for some in found for each in some), key=_number)), version.digest)


def catalogue_of(version: CatalogueVersion, names: Iterable[str], named: Iterable[Part]) -> Catalogue:
    """Return the catalogue of a version with the parts of some kinds only, and those that are handed over."""
    parts: dict[str, Part] = {}
    for name in sorted(set(names)):
        parts |= _parts.get(version.digest, name, partial(_parts_of_kind, version, name))
    return Catalogue({**parts, **{part.part: part for part in named}}, version.digest)


def _number(found: Device) -> str:
    return found.part


def _devices_of_kind(version: CatalogueVersion, name: str) -> tuple[Device, ...]:
    return tuple(device(part) for part in _read(version, name) if protects(part))


def _parts_of_kind(version: CatalogueVersion, name: str) -> dict[str, Part]:
    return {part.part: part for part in _read(version, name)}


def _read(version: CatalogueVersion, name: str) -> Iterator[Part]:
    after: str | None = None
    while True:
        page = service().store.search(PartQuery(kind=name), after, _PAGE, version.number)
        entries = [stored.document for stored in page.items]
        yield from Catalogue.from_document({"format": FORMAT, "parts": entries}).parts.values()
        if page.next is None:
            return
        after = page.next
