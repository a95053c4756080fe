"""The catalogue as it is to be: a stored version, and what differs from it. It is told, and nowhere stored."""

from collections.abc import Mapping
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from sccr.errors import InvalidDocument
from sccr.errors import Problem
from sccr.schema.digest import digest_of_parts

from ..store import NotFound
from ..store import ReadPut
from ..store import Store

_BOTH: Final = ("contradiction", "stands among the changed parts as well; leave it out of one of them")
_ABSENT: Final = ("unknown-part", "is not in the catalogue")


@dataclass(frozen=True, slots=True)
class Proposal:
    """A catalogue to rate by.

    base: the stored version that it is based on; None: nothing is stored. parts: the canonical documents of the parts
    that differ from that, None for one that is gone; digests: theirs. digest: of the whole; None: there is none.
    """

    base: int | None
    parts: Mapping[str, str | None]
    digests: Mapping[str, str]
    digest: str | None

    @property
    def removed(self) -> int:
        """Return how many parts are gone."""
        return len(self.parts) - len(self.digests)


def as_stored(store: Store, version: int | None = None) -> Proposal:
    """Return a stored version of the catalogue, or the newest, as it is. Raises NotFound."""
    of = store.catalogue_version(version)
    if of is None:
        if version is not None:
            raise NotFound(f"the catalogue has no version {version}")
        return Proposal(None, {}, {}, None)
    return Proposal(of.number, {}, {}, of.digest)


def replaced(store: Store, parts: Sequence[ReadPut]) -> Proposal:
    """Return the catalogue that has these parts and no others."""
    base, present = _present(store)
    digests = {each.part.part: each.digest for each in parts}
    gone: dict[str, str | None] = {part: None for part in present if part not in digests}
    differing = [each for each in parts if present.get(each.part.part) != each.digest]
    return Proposal(
        base=base,
        parts={**gone, **{each.part.part: each.document for each in differing}},
        digests={each.part.part: each.digest for each in differing},
        digest=digest_of_parts(digests.items()),
    )


def changed(store: Store, parts: Sequence[ReadPut], removed: Sequence[str] = ()) -> Proposal:
    """Return the newest catalogue with these parts put into it and those taken out of it.

    Raises InvalidDocument for a part to be taken out that is not there, or that is to be put as well.
    """
    base, present = _present(store)
    put = {each.part.part: each for each in parts}
    problems = [
        Problem(f"/removed_parts/{number}", *(_BOTH if part in put else _ABSENT))
        for number, part in enumerate(removed)
        if part in put or part not in present
    ]
    if problems:
        raise InvalidDocument(problems)
    differing = {part: each for part, each in put.items() if present.get(part) != each.digest}
    digests = {part: each.digest for part, each in differing.items()}
    whole = {part: digest for part, digest in {**present, **digests}.items() if part not in set(removed)}
    documents: dict[str, str | None] = {part: each.document for part, each in differing.items()}
    return Proposal(base, {**documents, **dict.fromkeys(removed)}, digests, digest_of_parts(whole.items()))


def _present(store: Store) -> tuple[int | None, dict[str, str]]:
    """Return the number of the newest version, and the digest of each of its parts."""
    newest = store.catalogue_version()
    return (None, {}) if newest is None else (newest.number, store.part_digests(newest.number))
