"""The ids of a document: one name space of supplies, components and windings, and what each name stands for."""

from collections.abc import Iterator
from collections.abc import Mapping
from collections.abc import Sequence
from dataclasses import dataclass

from sccr.schema.component import upstream_id
from sccr.schema.problems import Fault
from sccr.schema.problems import Found
from sccr.schema.problems import Path
from sccr.schema.problems import pointer
from sccr.schema.problems import shown


@dataclass(frozen=True, slots=True)
class Source:
    """What a name of `fed_from` stands for: a component by its number, or nothing for a supply; its winding, if any."""

    component: int | None
    winding: int | None = None


class Designations:
    """The supplies and components of a document by their ids.

    `supplies` and `components` hold the ids in the order of the document, nothing where there is none;
    `windings` the number of windings of each transformer, nothing where its nameplate cannot be read.
    """

    def __init__(
        self, supplies: Sequence[str | None], components: Sequence[str | None], windings: Mapping[int, int | None]
    ) -> None:
        self.windings = windings
        self.names = components
        self.places: dict[str, Path] = {}
        self.sources: dict[str, Source] = {}
        self._twice: list[Found] = []
        for number, name in enumerate(supplies):
            self._add(name, ("supplies", number), Source(None))
        for number, name in enumerate(components):
            self._add(name, ("components", number), Source(number))

    def _add(self, name: str | None, path: Path, source: Source) -> None:
        if name is None:
            return
        if name in self.places:
            told = f"{shown(name)} is the id of {pointer(self.places[name])} as well; give each its own"
            self._twice.append(Found((*path, "id"), Fault("duplicate-id", told)))
            return
        self.places[name] = path
        self.sources[name] = source

    def faults(self) -> Iterator[Found]:
        """Yield the ids that stand twice, or that name a winding or the upstream protection of a supply."""
        yield from self._twice
        upstream = {upstream_id(name) for name, source in self.sources.items() if source.component is None}
        for name, path in self.places.items():
            owner = self._transformer_of(name)
            if owner is not None:
                yield _reserved(path, f"{shown(name)} names a winding of transformer {self.names[owner]}")
            elif name in upstream:
                yield _reserved(path, f"{shown(name)} names the upstream protection of a supply")

    def _transformer_of(self, name: str) -> int | None:
        """Return the transformer of which a name would be a winding: "-TA1/2" of "-TA1"."""
        owner, slash, winding = name.rpartition("/")
        if not slash or not (winding.isascii() and winding.isdecimal()):
            return None
        source = self.sources.get(owner)
        return source.component if source is not None and source.component in self.windings else None

    def source(self, name: str) -> Source | Fault:
        """Return what a name of `fed_from` stands for, or why it stands for nothing."""
        source = self.sources.get(name)
        if source is None:
            return self._winding(name)
        if source.component is None or source.component not in self.windings:
            return source
        count = self.windings[source.component]
        if count is not None and count > 1:
            told = f"{shown(name)} has {count} windings; name the one, such as {shown(name + '/1')}"
            return Fault("winding-not-named", told)
        return Source(source.component, 1)

    def _winding(self, name: str) -> Source | Fault:
        transformer = self._transformer_of(name)
        if transformer is None:
            return Fault("fed-from-unknown", f"{shown(name)} is no supply or component", name, self.sources)
        count, written = self.windings[transformer], name.rpartition("/")[2]
        if written.startswith("0") or (count and int(written) > count):
            owner = self.names[transformer]
            known = f"its windings are {owner}/1 to {owner}/{count}" if count else "windings count from 1"
            return Fault("winding-unknown", f"{shown(name)} is no winding of {owner}; {known}")
        return Source(transformer, int(written))


def _reserved(path: Path, told: str) -> Found:
    return Found((*path, "id"), Fault("duplicate-id", f"{told}; choose another id"))
