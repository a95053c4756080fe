"""Circuits, parts and catalogues as the tests write them."""

from pathlib import Path
from typing import Any

from sccr.schema.catalogue import Catalogue
from sccr.schema.circuit import load_circuit
from sccr.selection import Selection
from sccr.selection import select
from sccr.selection.choosing import requirement
from sccr.selection.requirement import Requirement

ROOT = Path(__file__).parent.parent.parent
GRAIN = Catalogue.from_document((ROOT / "fixtures/catalogue/grain.json").read_text("utf-8"))

Document = dict[str, Any]


def circuit(load: Document, **fields: Any) -> Document:
    base = {"format": "circuit/1", "voltage": "480Y/277 V", "system": "solidly_grounded_wye"}
    return {**base, "load": load, **fields}


def motor(horsepower: str = "10 hp", **fields: Any) -> Document:
    return {"motor": {"horsepower": horsepower, "voltage": "460 V", **fields}}


def required(load: Document, **fields: Any) -> Requirement:
    return requirement(load_circuit(circuit(load, **fields)))


def codes(load: Document, **fields: Any) -> set[str]:
    return {finding.code for finding in chosen(load, **fields).findings}


def chosen(load: Document, catalogue: Catalogue = GRAIN, limit: int | None = None, **fields: Any) -> Selection:
    return select(load_circuit(circuit(load, **fields)), catalogue, limit=limit)


def names(selection: Selection) -> list[str]:
    return [each.device.part for each in selection.suitable]


def against(selection: Selection) -> dict[str, str]:
    return {each.device.part: each.check for each in selection.near_misses}


def shop(*parts: Document) -> Catalogue:
    return Catalogue.from_document({"format": "catalogue/1", "parts": list(parts)})


def breaker(part: str = "NB", amperes: str = "20 A", **fields: Any) -> Document:
    base: Document = {
        "part": part,
        "kind": "circuit_breaker",
        "poles": 3,
        "ampere_rating": amperes,
        "interrupting_ratings": [{"voltage": "480 V", "current": "25 kA"}],
        "standards": ["UL 489"],
        "mounting": "DIN rail",
    }
    return {**base, **fields}


def fuse(part: str = "NF", amperes: str = "20 A", fuse_class: str = "J", **fields: Any) -> Document:
    return {"part": part, "kind": "fuse", "ampere_rating": amperes, "fuse_class": fuse_class, **fields}


def reason(load: Document, part: Document, **fields: Any) -> str:
    """Return why a part by itself does not suit, or nothing where it does."""
    selection = chosen(load, shop(part), **fields)
    return selection.near_misses[0].check if selection.near_misses else ""


def amperes(requirement: Requirement, device: str = "inverse_time_breaker") -> tuple[float, float]:
    """Return the least and the largest ampere rating of a type of device [A]."""
    span = requirement.span(device)
    assert span is not None
    return span.minimum.current / 1000, span.maximum.current / 1000
