"""What a run over the fleet is asked for, as a document of the format "impact/1"."""

from collections.abc import Callable
from collections.abc import Iterator
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from typing import Final

from sccr.errors import InvalidDocument
from sccr.errors import Problem
from sccr.schema.catalogue import FORMAT as CATALOGUE
from sccr.schema.catalogue import Catalogue
from sccr.schema.nearest import nearest
from sccr.schema.problems import pointer
from sccr.schema.problems import shown

from ..store import ReadPut
from ..store import Store
from ..store import puts_of
from .proposal import Proposal
from .proposal import as_stored
from .proposal import changed
from .proposal import replaced
from .run import SCOPES
from .run import TOUCHED

FORMAT: Final = "impact/1"

_MEMBERS: Final = ("format", "scope", "catalogue", "changed_parts", "removed_parts", "catalogue_version")
_MOST_VERSION: Final = 10**12


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked: the scope, and how the catalogue as it is to be comes from the one that is stored."""

    scope: str
    propose: Callable[[Store], Proposal]


def asked_of(document: Mapping[str, Any]) -> Asked:
    """Return what a document asks for. Raises InvalidDocument with everything that is wrong with it.

    `catalogue` is the whole of it; `changed_parts` and `removed_parts` are what differs from the newest version;
    `catalogue_version` is a stored one. Without any of them the newest is meant: what the engine of today makes of it.
    """
    problems = list(_of_members(document))
    if "scope" in document and document["scope"] not in SCOPES:
        problems.append(Problem("/scope", "unknown-word", f"is not known here; known are {', '.join(SCOPES)}"))
    propose: Callable[[Store], Proposal] = as_stored
    try:
        propose = _proposer(document)
    except InvalidDocument as error:
        problems += error.problems
    if problems:
        raise InvalidDocument(problems)
    return Asked(document.get("scope", TOUCHED), propose)


def _of_members(document: Mapping[str, Any]) -> Iterator[Problem]:
    if document.get("format") != FORMAT:
        yield Problem("/format", "unknown-word" if "format" in document else "required", f'write "{FORMAT}"')
    for name in document:
        if name not in _MEMBERS:
            near = nearest(name, _MEMBERS)
            remedy = f"did you mean {shown(near)}?" if near else f"known are {', '.join(_MEMBERS)}"
            yield Problem(pointer((name[:64],)), "unknown-field", f"is not a field here; {remedy}")
    ways = [way for way in ("catalogue", "catalogue_version") if way in document]
    if "changed_parts" in document or "removed_parts" in document:
        ways.append("changed_parts" if "changed_parts" in document else "removed_parts")
    for way in ways[1:]:
        yield Problem(f"/{way}", "contradiction", f"cannot be beside {ways[0]}; send one of them")


def _proposer(document: Mapping[str, Any]) -> Callable[[Store], Proposal]:
    if "catalogue" in document:
        puts = _whole(document["catalogue"])
        return lambda store: replaced(store, puts)
    if "changed_parts" in document or "removed_parts" in document:
        puts, removed = _parts(document.get("changed_parts", [])), _removed(document.get("removed_parts", []))
        return lambda store: changed(store, puts, removed)
    version = document.get("catalogue_version")
    if "catalogue_version" in document and not (type(version) is int and 0 < version <= _MOST_VERSION):
        raise InvalidDocument([Problem("/catalogue_version", "not-an-integer", "is no number of a version")])
    return lambda store: as_stored(store, version)


def _whole(catalogue: Any) -> tuple[ReadPut, ...]:
    if not isinstance(catalogue, dict):
        raise InvalidDocument([Problem("/catalogue", "not-an-object", f'is no object of the format "{CATALOGUE}"')])
    try:
        read = Catalogue.from_document(catalogue)
    except InvalidDocument as error:
        raise InvalidDocument(
            Problem(f"/catalogue{each.pointer}", each.code, each.detail) for each in error.problems
        ) from error
    return puts_of(catalogue["parts"], read)


def _parts(parts: Any) -> tuple[ReadPut, ...]:
    if not isinstance(parts, list):
        raise InvalidDocument([Problem("/changed_parts", "not-a-list", "is no list; write parts in brackets")])
    try:
        return puts_of(parts, Catalogue.from_document({"format": CATALOGUE, "parts": parts}))
    except InvalidDocument as error:
        raise InvalidDocument(
            Problem("/changed_parts" + each.pointer.removeprefix("/parts"), each.code, each.detail)
            for each in error.problems
        ) from error


def _removed(parts: Any) -> tuple[str, ...]:
    if isinstance(parts, list) and all(isinstance(part, str) for part in parts):
        return tuple(dict.fromkeys(parts))
    raise InvalidDocument([Problem("/removed_parts", "not-a-list", "is no list of part numbers")])
