"""Short words for drawing a panel rated by IEC 61439-2: each returns the part of a document that it names."""

from typing import Any

from sccr import Rating
from sccr import rate
from sccr.result import ComponentValue
from tests.drawing import Document
from tests.drawing import part
from tests.drawing import transformer as of_the_nameplate

EDITION = "IEC 61439-2:2020"
STAR = {"voltage": "230/400 V", "system": "solidly_grounded_wye"}
UNEARTHED = {"voltage": "400 V", "system": "ungrounded_delta"}
KILO = 1_000_000


def panel(*components: Document, supply: Document | None = None, **more: Any) -> Document:
    """A panel on one supply, `S`, 230/400 V earthed star unless told otherwise."""
    supplies = more.pop("supplies", None) or [{"id": "S", **STAR, **(supply or {})}]
    return {
        "format": "panel/1",
        "edition": EDITION,
        "panel": {"designation": "TEST-1"},
        "supplies": supplies,
        "components": list(components),
        **more,
    }


def capacity(current: str, kind: str = "icu", voltage: str = "400 V", **more: Any) -> Document:
    return {"current": current, "voltage": voltage, "kind": kind, **more}


def breaker(
    name: str, fed_from: Any = "S", current: str | None = "50 kA", voltage: str = "400 V", **more: Any
) -> Document:
    """A circuit-breaker with an Icu."""
    if current is not None:
        more.setdefault("breaking_capacities", [capacity(current, voltage=voltage)])
    return part("circuit_breaker", name, fed_from, **more)


def fuse(
    name: str, fed_from: Any = "S", current: str | None = "100 kA", amperes: str = "63 A", **more: Any
) -> Document:
    """A gG fuse."""
    if current is not None:
        more.setdefault("breaking_capacities", [capacity(current, "fuse", "500 V")])
    return part("fuse", name, fed_from, utilization_category="gG", ampere_rating=amperes, **more)


def behind_gg(current: str, amperes: str = "63 A", voltage: str = "400 V", **more: Any) -> Document:
    """A conditional rating behind a gG fuse."""
    protected_by = {"device": "fuse", "utilization_categories": ["gG"], "max_ampere_rating": amperes}
    return {"current": current, "voltage": voltage, "protected_by": protected_by, **more}


def behind_breaker(current: str, amperes: str = "63 A", voltage: str = "400 V", **more: Any) -> Document:
    """A conditional rating behind any circuit-breaker of up to some amperes."""
    protected_by = {"device": "circuit_breaker", "max_ampere_rating": amperes}
    return {"current": current, "voltage": voltage, "protected_by": protected_by, **more}


def short_time(current: str, duration: str = "1 s", **more: Any) -> Document:
    return {"current": current, "duration": duration, **more}


def point(available: str, peak: str, i2t: str | None = None, voltage: str = "400 V") -> Document:
    """A let-through point; i2t as the document writes it."""
    found: Document = {"available": available, "peak": peak, "voltage": voltage}
    return {**found, "i2t": i2t} if i2t is not None else found


def contactor(name: str, fed_from: Any, *conditional: Document, **more: Any) -> Document:
    if conditional:
        more["conditional_ratings"] = list(conditional)
    return part("contactor", name, fed_from, **more)


def transformer(name: str, fed_from: Any, kva: str | None, secondary: Any, **more: Any) -> Document:
    """A transformer; `more` are members of its nameplate."""
    return of_the_nameplate(name, fed_from, kva, secondary, **more)


def motor(name: str, fed_from: Any) -> Document:
    return part("motor", name, fed_from)


def value(document: Document, name: str) -> ComponentValue:
    """What a component is worth."""
    return next(component for component in rate(document).components if component.id == name)


def worth(document: Document, name: str) -> float | None:
    """What a component is worth [kA], None where nothing holds."""
    found = value(document, name).value
    return None if found is None else found / KILO


def rated(document: Document) -> Rating:
    """The rating of a document that must have one."""
    rating = rate(document)
    assert rating.status == "rated", [f.message for f in rating.findings if f.severity == "error"]
    return rating


def kiloamperes(document: Document) -> float:
    """The rating of a document [kA]."""
    rating = rated(document).rating
    assert rating is not None
    return rating.current / KILO


def limits(document: Document) -> list[str]:
    """The components that hold a panel down."""
    return [limit.component for limit in rate(document).limited_by]


def errors(document: Document) -> dict[str | None, str]:
    """The codes of the errors of a panel by component; it must then be withheld and carry no number."""
    rating = rate(document)
    found = {finding.component: finding.code for finding in rating.findings if finding.severity == "error"}
    if found:
        assert rating.status == "withheld"
        assert rating.rating is None
        assert rating.next_limits == rating.limited_by == rating.conditions == ()
        assert all(supply.rating is None for supply in rating.supplies)
        assert all(circuit.rating is None for circuit in rating.circuits)
    return found


def codes(document: Document, severity: str | None = None) -> set[str]:
    """The codes of a panel's findings."""
    return {f.code for f in rate(document).findings if severity in (None, f.severity)}
