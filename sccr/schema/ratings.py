"""The ratings of a part, and the device that a rating was tested with."""

from typing import Any
from typing import Final

from sccr.panel.component import InterruptingRating
from sccr.panel.component import LetThrough
from sccr.panel.component import ProtectedBy
from sccr.panel.component import SeriesRating
from sccr.panel.component import ShortCircuitRating
from sccr.panel.component import SupplyType
from sccr.schema import quantity
from sccr.schema.fields import Choice
from sccr.schema.fields import Identifier
from sccr.schema.fields import ListOf
from sccr.schema.fields import Quantity
from sccr.schema.fields import Text
from sccr.schema.problems import Fault
from sccr.schema.strict_schema import Object
from sccr.schema.strict_schema import StrictSchema
from sccr.schema.strict_schema import refused

#: Fuse classes (UL 248), the miniature and midget sizes, and renewable fuses.
FUSE_CLASSES: Final = (
    *("CC", "CF", "G", "H", "J", "K1", "K5", "L", "RK1", "RK5", "T"),
    *("midget", "miniature", "renewable"),
)
#: A class of holders, which takes RK1 and RK5 fuses.
HOLDER_CLASS: Final = "R"
DEVICES: Final = {"fuse": "fuse", "circuit_breaker": "circuit_breaker"}

_MOST: Final = 200
_FUSE_CLASS: Final = {name: name for name in FUSE_CLASSES}
_SUPPLY_TYPE: Final = {each.value: each for each in SupplyType}


class _ProtectedBy(StrictSchema):
    device = Choice("device", DEVICES, required=True)
    fuse_classes = ListOf(Choice("fuse class", _FUSE_CLASS), _MOST, 1)
    parts = ListOf(Identifier(), _MOST, 1)
    max_ampere_rating = Quantity(quantity.ampere_rating)

    def make(self, data: dict[str, Any]) -> ProtectedBy:
        """Return the device; a fuse is told by class and amperes, a breaker by part or amperes."""
        faults = _fuse_faults(data) if data["device"] == "fuse" else _breaker_faults(data)
        if faults:
            raise refused(faults)
        return ProtectedBy(
            device=data["device"],
            fuse_classes=data.get("fuse_classes", ()),
            parts=data.get("parts", ()),
            max_amperes=data.get("max_ampere_rating"),
        )


def _fuse_faults(data: dict[str, Any]) -> dict[str, Fault]:
    faults = {
        name: Fault("required", "is missing: a fuse is told by its classes and the most amperes that it may have")
        for name in ("fuse_classes", "max_ampere_rating")
        if name not in data
    }
    if "parts" in data:
        faults["parts"] = Fault("not-applicable", "does not tell a fuse; write its fuse_classes")
    return faults


def _breaker_faults(data: dict[str, Any]) -> dict[str, Fault]:
    if "fuse_classes" in data:
        return {"fuse_classes": Fault("not-applicable", "does not tell a circuit breaker; write its parts")}
    if "parts" not in data and "max_ampere_rating" not in data:
        return {"parts": Fault("required", "is missing: a circuit breaker is told by its parts, its amperes, or both")}
    return {}


class _ShortCircuitRating(StrictSchema):
    voltage = Quantity(quantity.system_voltage, required=True)
    current = Quantity(quantity.current, required=True)
    supply = Choice("supply", _SUPPLY_TYPE)
    protected_by = Object(_ProtectedBy())

    def make(self, data: dict[str, Any]) -> ShortCircuitRating:
        """Return the rating."""
        return ShortCircuitRating(**data)


class _InterruptingRating(StrictSchema):
    voltage = Quantity(quantity.system_voltage, required=True)
    current = Quantity(quantity.current, required=True)
    supply = Choice("supply", _SUPPLY_TYPE)

    def make(self, data: dict[str, Any]) -> InterruptingRating:
        """Return the rating."""
        return InterruptingRating(**data)


class _SeriesRating(StrictSchema):
    line_side = Object(_ProtectedBy(), required=True)
    voltage = Quantity(quantity.system_voltage, required=True)
    current = Quantity(quantity.current, required=True)
    reference = Text()
    supply = Choice("supply", _SUPPLY_TYPE)

    def make(self, data: dict[str, Any]) -> SeriesRating:
        """Return the rating."""
        return SeriesRating(**data)


class _LetThrough(StrictSchema):
    available = Quantity(quantity.current, required=True)
    peak = Quantity(quantity.current, required=True)
    voltage = Quantity(quantity.system_voltage, required=True)
    i2t = Quantity(quantity.i2t)
    supply = Choice("supply", _SUPPLY_TYPE)

    def make(self, data: dict[str, Any]) -> LetThrough:
        """Return the point of the curve."""
        return LetThrough(**data)


def short_circuit_ratings() -> ListOf:
    """Return the field of the ratings of whatever is no overcurrent protective device."""
    return ListOf(Object(_ShortCircuitRating()), _MOST)


def interrupting_ratings() -> ListOf:
    """Return the field of the ratings of an overcurrent protective device."""
    return ListOf(Object(_InterruptingRating()), _MOST)


def series_ratings() -> ListOf:
    """Return the field of the tested series combinations (UL 489)."""
    return ListOf(Object(_SeriesRating()), _MOST)


def let_through() -> ListOf:
    """Return the field of the published points of a current-limiting breaker's let-through."""
    return ListOf(Object(_LetThrough()), _MOST)
