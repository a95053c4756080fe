"""From a panel document to the panel, or to everything that is wrong with it.

A right document takes the fast lane; whatever that does not know for certain is read by the schemas as marshmallow's,
which say all that is wrong. Both give the same panel.
"""

from collections.abc import Iterator
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import chain
from itertools import islice
from typing import Any

from sccr.errors import InvalidDocument
from sccr.panel.panel import Options
from sccr.panel.panel import Panel
from sccr.schema.catalogue import Catalogue
from sccr.schema.component import completed
from sccr.schema.component import component
from sccr.schema.component import component_faults
from sccr.schema.component import part_faults
from sccr.schema.designations import Designations
from sccr.schema.digest import digest_of_panel
from sccr.schema.document import read_document
from sccr.schema.editions_asked import Known
from sccr.schema.editions_asked import editions_faults
from sccr.schema.fast_lane import quick_members
from sccr.schema.fed_from import Feeding
from sccr.schema.fed_from import fed_from_faults
from sccr.schema.problems import MOST_PROBLEMS
from sccr.schema.problems import Found
from sccr.schema.problems import in_document_order
from sccr.schema.strict_json import decode
from sccr.schema.strict_json import plain_json
from sccr.schema.supply import supply
from sccr.schema.supply import supply_faults


def load_panel(
    document: Mapping[str, Any] | str | bytes,
    catalogue: Catalogue | None,
    default_edition: str,
    known_editions: Known = None,
) -> Panel:
    """Return the panel of a document of the format "panel/1".

    Parameters
    ----------
    document : mapping, or JSON text
        The panel document; what a component leaves out is taken from its part in the catalogue, if there is one.
    catalogue : Catalogue or None
        Without one, `part` is a label.
    default_edition : str
        The edition of the method for a document that names none.
    known_editions : callable, optional
        What gives the names that `editions` may hold; without it any name is taken.

    Raises
    ------
    InvalidDocument
        With every problem of the document in the order of the document, each at its JSON Pointer (RFC 6901).
    MalformedJson
        Where text is given that is not JSON.
    """
    return load_quickly(document, catalogue, default_edition, known_editions) or load_with_care(
        document, catalogue, default_edition, known_editions
    )


def load_quickly(
    document: Mapping[str, Any] | str | bytes, catalogue: Catalogue | None, edition: str, known: Known = None
) -> Panel | None:
    """Return the panel of a document that is certainly right, or None."""
    plain = plain_json(document) if isinstance(document, str | bytes) else (document, None)
    if plain is None:
        return None
    written, canonical = plain
    members = quick_members(written, catalogue)
    if members is None or any(editions_faults(members[0], known)):
        return None
    return _panel(*members, catalogue, edition, digest_of_panel(written, canonical))


def load_with_care(
    document: Mapping[str, Any] | str | bytes, catalogue: Catalogue | None, edition: str, known: Known = None
) -> Panel:
    """Return the panel of a document, or raise everything that is wrong with it."""
    written = decode(document) if isinstance(document, str | bytes) else document
    own, wrong = read_document(written)
    content = _content(own, written, catalogue)
    if len(wrong) <= MOST_PROBLEMS:
        wrong += islice(chain(editions_faults(own, known), _faults(content, catalogue)), MOST_PROBLEMS + 1)
    if wrong:
        raise InvalidDocument(in_document_order(wrong, written))
    return _panel(own, content.completed, catalogue, edition, digest_of_panel(written))


def _panel(
    own: Mapping[str, Any], whole: list[Mapping[str, Any]], catalogue: Catalogue | None, edition: str, digest: str
) -> Panel:
    """Return the panel of a document's members and of its components completed."""
    editions = own.get("editions", ())
    return Panel(
        identity=dict(sorted(own["panel"].items())),  # the same rating however the document orders it
        supplies=tuple([supply(each, catalogue) for each in own["supplies"]]),
        components=tuple(map(component, own["components"], whole)),
        edition=editions[0] if editions else own.get("edition", edition),
        document_digest=digest,
        target=own.get("target"),
        options=own.get("options", Options()),
        catalogue_digest=catalogue.digest if catalogue is not None else None,
        editions=editions,
    )


@dataclass(frozen=True, slots=True)
class _Content:
    """The supplies and components as written, as far as they can be read, and completed from the catalogue."""

    raw_supplies: list[Any]
    supplies: list[Mapping[str, Any]]
    raw_components: list[Any]
    components: list[Mapping[str, Any]]
    completed: list[Mapping[str, Any]]


def _content(own: Mapping[str, Any], written: Any, catalogue: Catalogue | None) -> _Content:
    supplies = [each or {} for each in own.get("supplies", ())]
    components = [each or {} for each in own.get("components", ())]
    return _Content(
        raw_supplies=written["supplies"] if supplies else [],
        supplies=supplies,
        raw_components=written["components"] if components else [],
        components=components,
        completed=[completed(each, catalogue) for each in components],
    )


def _faults(content: _Content, catalogue: Catalogue | None) -> Iterator[Found]:
    """Yield what is wrong with members that are right by themselves."""
    for number, (raw, own) in enumerate(zip(content.raw_supplies, content.supplies, strict=True)):
        yield from supply_faults(("supplies", number), raw, own, catalogue)
    for number, (raw, own, whole) in enumerate(
        zip(content.raw_components, content.components, content.completed, strict=True)
    ):
        if isinstance(raw, dict):
            for name, fault in (*part_faults(own, catalogue), *component_faults(raw, own, whole, catalogue)):
                yield Found(("components", number, name), fault)
    designations = _designations(content)
    yield from designations.faults()
    if content.supplies:  # else every name of a supply would look like a wrong one
        fed_from = [each.get("fed_from") for each in content.components]
        yield from fed_from_faults(Feeding(designations, fed_from, content.raw_components))


def _designations(content: _Content) -> Designations:
    windings = {
        number: _windings(raw, whole)
        for number, (raw, whole) in enumerate(zip(content.raw_components, content.completed, strict=True))
        if "kind" in whole and whole["kind"].transformer
    }
    return Designations(_ids(content.raw_supplies), _ids(content.raw_components), windings)


def _ids(written: list[Any]) -> list[str | None]:
    """Return the ids as they are written: an id that is refused for its form is still known to what it feeds."""
    ids = [each.get("id") if isinstance(each, dict) else None for each in written]
    return [name if isinstance(name, str) else None for name in ids]


def _windings(raw: Mapping[str, Any], whole: Mapping[str, Any]) -> int | None:
    if "transformer" in whole:
        return len(whole["transformer"].secondaries)
    return None if "transformer" in raw else 0
