"""From the chosen parts to the changes of a plan, and to the document of the changed panel."""

from collections.abc import Container
from collections.abc import Iterator
from collections.abc import Mapping
from typing import Any

from sccr.upgrade.candidates import Candidate
from sccr.upgrade.candidates import labour_of
from sccr.upgrade.demands import Demands
from sccr.upgrade.plan import Change

#: What a component's place decides, whatever part stands there.
OF_THE_PLACE = frozenset(
    {
        "id",
        "kind",
        "fed_from",
        "circuit",
        "position",
        "exempt",
        "location",
        "phases",
        "full_load_current",
        "accessories",
    }
)


def changes(requirements: Demands, chosen: Mapping[str, Candidate], added: Container[str]) -> Iterator[Change]:
    """Yield the changes in the order of the document; of each part the first so many are on hand as are in stock."""
    left: dict[str, int] = {}
    for name, candidate in chosen.items():
        part = candidate.part
        assert part is not None
        here = left.setdefault(part.part, part.stock or 0)
        left[part.part] = here - candidate.pieces
        yield Change(
            component=name,
            action="add" if name in added else "swap",
            kind=part.kind.name,
            before=requirements.case.one_line.components[name].part,
            after=part.part,
            quantity=candidate.pieces,
            price=None if part.price is None else part.price * candidate.pieces,
            labour_hours=labour_of(part.kind.name),
            on_hand=here >= candidate.pieces,
        )


def by_edition(document: Mapping[str, Any], edition: str) -> dict[str, Any]:
    """Return a panel document that asks for one edition, whatever it asked for."""
    return {**{name: value for name, value in document.items() if name != "editions"}, "edition": edition}


def changed_document(document: Mapping[str, Any], chosen: Mapping[str, Candidate]) -> dict[str, Any]:
    """Return a panel document with other parts in some places: what the old part was marked with goes with it."""
    components = [_changed(each, chosen.get(each["id"])) for each in document["components"]]
    return {**document, "components": components}


def _changed(component: Mapping[str, Any], candidate: Candidate | None) -> Mapping[str, Any]:
    if candidate is None or candidate.part is None:
        return component
    stays = OF_THE_PLACE if "poles" in candidate.part.fields else OF_THE_PLACE | {"poles"}
    return {**{name: value for name, value in component.items() if name in stays}, "part": candidate.part.part}
