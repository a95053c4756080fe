"""Short words for drawing a panel in a test: each returns the part of a panel document that it names."""

from typing import Any

from sccr import Rating
from sccr import rate

WYE = {"voltage": "480Y/277 V", "system": "solidly_grounded_wye"}
DELTA = {"voltage": "480 V", "system": "ungrounded_delta"}
THREE_WIRE = {"voltage": "240/120 V", "system": "single_phase_three_wire"}
TWO_WIRE = {"voltage": "120 V", "system": "single_phase_two_wire"}
DIRECT = {"voltage": "125 V", "system": "dc"}

Document = dict[str, Any]


def panel(*components: Document, supply: Document | None = None, **more: Any) -> Document:
    """A panel on one supply, `S`, 480Y/277 V solidly grounded wye unless told otherwise."""
    supplies = more.pop("supplies", None) or [{"id": "S", **(supply or WYE)}]
    return {
        "format": "panel/1",
        "panel": {"designation": "TEST-1"},
        "supplies": supplies,
        "components": list(components),
        **more,
    }


def part(kind: str, name: str, fed_from: Any = "S", **fields: Any) -> Document:
    return {"id": name, "kind": kind, "fed_from": fed_from, **fields}


def withstands(current: str, voltage: str = "600 V", **more: Any) -> list[Document]:
    """A `short_circuit_ratings` list of one."""
    return [{"current": current, "voltage": voltage, **more}]


def behind_fuse(current: str, classes: list[str], amperes: str, voltage: str = "600 V") -> Document:
    """One rating that holds only behind a fuse."""
    protected_by = {"device": "fuse", "fuse_classes": classes, "max_ampere_rating": amperes}
    return {"current": current, "voltage": voltage, "protected_by": protected_by}


def behind_breaker(current: str, parts: list[str], amperes: str | None = None, voltage: str = "600 V") -> Document:
    """One rating that holds only behind a breaker."""
    protected_by: Document = {"device": "circuit_breaker", "parts": parts}
    if amperes:
        protected_by["max_ampere_rating"] = amperes
    return {"current": current, "voltage": voltage, "protected_by": protected_by}


def interrupts(current: str, voltage: str = "600 V", **more: Any) -> list[Document]:
    """An `interrupting_ratings` list of one."""
    return [{"current": current, "voltage": voltage, **more}]


def fuse(name: str, fed_from: Any = "S", fuse_class: str = "J", amperes: str = "60 A", **more: Any) -> Document:
    return part("fuse", name, fed_from, fuse_class=fuse_class, ampere_rating=amperes, **more)


def breaker(
    name: str, fed_from: Any = "S", current: str | None = "65 kA", voltage: str = "600 V", **more: Any
) -> Document:
    if current is not None:
        more.setdefault("interrupting_ratings", interrupts(current, voltage))
    return part("circuit_breaker", name, fed_from, **more)


def contactor(name: str, fed_from: Any = "S", current: str | None = None, **more: Any) -> Document:
    if current is not None:
        more.setdefault("short_circuit_ratings", withstands(current))
    return part("contactor", name, fed_from, **more)


def motor(name: str, fed_from: Any, **more: Any) -> Document:
    return part("motor", name, fed_from, **more)


def transformer(name: str, fed_from: Any, kva: str | None = "5 kVA", secondary: Any = "120 V", **more: Any) -> Document:
    outer = {key: more.pop(key) for key in ("circuit", "location") if key in more}
    nameplate = {"secondary": secondary, **({"kva": kva} if kva else {}), **more}
    return part("transformer", name, fed_from, transformer=nameplate, **outer)


def rated(document: Document) -> Rating:
    """The rating of a document that must have one."""
    rating = rate(document)
    assert rating.status == "rated", [finding.message for finding in rating.findings]
    return rating


def kiloamperes(document: Document) -> float:
    """The rating of a document [kA]."""
    rating = rated(document).rating
    assert rating is not None
    return rating.current / 1_000_000


def limits(document: Document) -> list[str]:
    """The components that hold a panel down."""
    return [limit.component for limit in rate(document).limited_by]


def codes(document: Document, severity: str | None = None) -> set[str]:
    """The codes of a panel's findings."""
    return {f.code for f in rate(document).findings if severity in (None, f.severity)}


def errors(document: Document) -> set[str]:
    """The codes of the errors of a panel, which must then be withheld and carry no number."""
    rating = rate(document)
    found = {finding.code for finding in rating.findings if finding.severity == "error"}
    if found:
        assert rating.status == "withheld"
        assert rating.rating is None
        assert rating.next_limits == ()
    return found
