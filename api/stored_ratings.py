"""A rating as it is stored, and again as the object that reports and nameplates are made from."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from sccr.adequacy import Adequacy
from sccr.adequacy import AvailableBasis
from sccr.adequacy import AvailableFaultCurrent
from sccr.adequacy import Comparison
from sccr.rated_current import RatedCurrent
from sccr.result import FULL
from sccr.result import NONE
from sccr.result import Circuit
from sccr.result import ComponentValue
from sccr.result import Condition
from sccr.result import Finding
from sccr.result import LimitedBy
from sccr.result import Method
from sccr.result import NextLimit
from sccr.result import Rating
from sccr.result import Step
from sccr.result import SupplyResult
from sccr.units import AMPERE

Json = Mapping[str, Any]


def rating_of(result: Json) -> Rating:
    """Return the rating whose `as_dict()` a result is: what was answered once, not what would be answered today."""
    return Rating(
        status=result["status"],
        rating=_rated(result["rating"]),
        limited_by=_limits(result),
        next_limits=tuple(NextLimit(_current_at(each["rating"]), _limits(each)) for each in result["next_limits"]),
        adequacy=_adequacy(result["adequacy"]),
        supplies=tuple(map(_supply, result["supplies"])),
        circuits=tuple(map(_circuit, result["circuits"])),
        components=tuple(map(_component, result["components"])),
        findings=tuple(Finding(**each) for each in result["findings"]),
        conditions=tuple(Condition(**each) for each in result["conditions"]),
        derivation=tuple(map(_step, result["derivation"])),
        options=result["options"],
        method=Method(**result["method"]),
        document_digest=result["document_digest"],
        panel=result["panel"],
    )


def with_derivation(result: Json, extent: str) -> Json:
    """Return a result with all of its derivation, in short, or with none, as `Rating.as_dict` writes it.

    Nothing else of it changes: it is what was answered once, field for field.
    """
    if extent == FULL:
        return result
    kept = set() if extent == NONE else {step.number for step in rating_of(result).steps(extent)}
    steps = [step for step in result["derivation"] if step["number"] in kept]
    return {**result, "derivation": steps, "derivation_extent": extent}


def _milliamperes(current: Json | None) -> int | None:
    return None if current is None else round(current["current_amperes"] * AMPERE)


def _rated(rating: Json | None) -> RatedCurrent | None:
    return None if rating is None else _current_at(rating)


def _current_at(rating: Json) -> RatedCurrent:
    peak, duration = rating.get("peak_amperes"), rating.get("duration")
    return RatedCurrent(
        round(rating["current_amperes"] * AMPERE),
        rating["voltage"],
        rating.get("designation", ""),
        None if duration is None else Decimal(duration.removesuffix(" s")),
        None if peak is None else round(peak * AMPERE),
    )


def _limits(of: Json) -> tuple[LimitedBy, ...]:
    return tuple(LimitedBy(**each) for each in of["limited_by"])


def _adequacy(adequacy: Json) -> Adequacy:
    target = adequacy["target"]
    return Adequacy(tuple(map(_comparison, adequacy["supplies"])), None if target is None else _comparison(target))


def _comparison(comparison: Json) -> Comparison:
    current = round(comparison["current_amperes"] * AMPERE)
    margin = comparison["margin_amperes"]
    rating = None if margin is None else current + round(margin * AMPERE)
    exceeded = tuple(comparison["exceeded"])
    return Comparison(current, rating, comparison["basis"], comparison["supply"], exceeded)


def _supply(supply: Json) -> SupplyResult:
    available = supply["available_fault_current"]
    found = None if available is None else _available(available)
    return SupplyResult(supply["id"], _rated(supply["rating"]), _limits(supply), found)


def _available(available: Json) -> AvailableFaultCurrent:
    own = ("date", "method", "fault", "x_over_r", "record")
    return AvailableFaultCurrent(
        current=round(available["current_amperes"] * AMPERE),
        basis=AvailableBasis(available["basis"]),
        stated=_milliamperes(available["stated"]),
        computed=_milliamperes(available["computed"]),
        **{name: available[name] for name in own},
    )


def _circuit(circuit: Json) -> Circuit:
    return Circuit(
        **{**circuit, "components": tuple(circuit["components"]), "rating": _milliamperes(circuit["rating"])}
    )


def _component(component: Json) -> ComponentValue:
    own = {name: value for name, value in component.items() if name not in ("value", "after_credit")}
    return ComponentValue(
        **own, value=_milliamperes(component["value"]), after=_milliamperes(component["after_credit"])
    )


def _step(step: Json) -> Step:
    return Step(**{**step, "before": _milliamperes(step["before"]), "after": _milliamperes(step["after"])})
