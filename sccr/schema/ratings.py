"""The ratings of a part, and the device that a rating was tested with."""

from typing import Any
from typing import Final

from sccr.panel.component import BackUpRating
from sccr.panel.component import BreakingCapacity
from sccr.panel.component import Capacity
from sccr.panel.component import ConditionalRating
from sccr.panel.component import InterruptingRating
from sccr.panel.component import LetThrough
from sccr.panel.component import ProtectedBy
from sccr.panel.component import SeriesRating
from sccr.panel.component import ShortCircuitRating
from sccr.panel.component import ShortTimeRating
from sccr.panel.component import SupplyType
from sccr.schema import quantity
from sccr.schema.fields import Choice
from sccr.schema.fields import Identifier
from sccr.schema.fields import Integer
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
#: Utilization categories of fuse-links (IEC 60269-1, 5.7.1; from memory).
UTILIZATION_CATEGORIES: Final = ("gG", "gM", "aM", "aR", "gR")
#: A class of holders, which takes RK1 and RK5 fuses.
HOLDER_CLASS: Final = "R"
DEVICES: Final = {"fuse": "fuse", "circuit_breaker": "circuit_breaker"}

_MOST: Final = 200
_FUSE_CLASS: Final = {name: name for name in FUSE_CLASSES}
_UTILIZATION_CATEGORY: Final = {name: name for name in UTILIZATION_CATEGORIES}
_CAPACITY: Final = {each.value: each for each in Capacity}
#: Types of coordination of a starter (IEC 60947-4-1, 8.2.5.1; from memory).
_COORDINATION: Final = (1, 2)
_SUPPLY_TYPE: Final = {each.value: each for each in SupplyType}


class _ProtectedBy(StrictSchema):
    device = Choice("device", DEVICES, required=True)
    fuse_classes = ListOf(Choice("fuse class", _FUSE_CLASS), _MOST, 1)
    utilization_categories = ListOf(Choice("utilization category", _UTILIZATION_CATEGORY), _MOST, 1)
    parts = ListOf(Identifier(), _MOST, 1)
    max_ampere_rating = Quantity(quantity.ampere_rating)

    def make(self, data: dict[str, Any]) -> ProtectedBy:
        """Return the device; a fuse is told by class or category and amperes, a breaker by part or amperes."""
        faults = _fuse_faults(data) if data["device"] == "fuse" else _breaker_faults(data)
        if faults:
            raise refused(faults)
        return ProtectedBy(
            device=data["device"],
            fuse_classes=data.get("fuse_classes", ()),
            parts=data.get("parts", ()),
            max_amperes=data.get("max_ampere_rating"),
            utilization_categories=data.get("utilization_categories", ()),
        )


def _fuse_faults(data: dict[str, Any]) -> dict[str, Fault]:
    needed = ["max_ampere_rating"] if "utilization_categories" in data else ["fuse_classes", "max_ampere_rating"]
    told = "is missing: a fuse is told by its classes, or its utilization_categories, and the most amperes it may have"
    faults = {name: Fault("required", told) for name in needed if name not in data}
    if "parts" in data:
        faults["parts"] = Fault("not-applicable", "does not tell a fuse; write its fuse_classes")
    return faults


def _breaker_faults(data: dict[str, Any]) -> dict[str, Fault]:
    of_fuses = [name for name in ("fuse_classes", "utilization_categories") if name in data]
    if of_fuses:
        told = Fault("not-applicable", "does not tell a circuit breaker; write its parts")
        return dict.fromkeys(of_fuses, told)
    if "parts" not in data and "max_ampere_rating" not in data:
        return {"parts": Fault("required", "is missing: a circuit breaker is told by its parts, its amperes, or both")}
    return {}


def coordination() -> Integer:
    """Return the field of a type of coordination of a starter and its protection."""
    return Integer(*_COORDINATION)


def utilization_category() -> Choice:
    """Return the field of the utilization category of a fuse."""
    return Choice("utilization category", _UTILIZATION_CATEGORY)


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


class _BreakingCapacity(StrictSchema):
    voltage = Quantity(quantity.system_voltage, required=True)
    current = Quantity(quantity.current, required=True)
    kind = Choice("breaking capacity", _CAPACITY, required=True)
    supply = Choice("supply", _SUPPLY_TYPE)

    def make(self, data: dict[str, Any]) -> BreakingCapacity:
        """Return the breaking capacity."""
        return BreakingCapacity(**data)


class _ConditionalRating(StrictSchema):
    voltage = Quantity(quantity.system_voltage, required=True)
    current = Quantity(quantity.current, required=True)
    protected_by = Object(_ProtectedBy(), required=True)
    coordination = coordination()
    supply = Choice("supply", _SUPPLY_TYPE)

    def make(self, data: dict[str, Any]) -> ConditionalRating:
        """Return the rating."""
        return ConditionalRating(**data)


class _ShortTimeRating(StrictSchema):
    current = Quantity(quantity.current, required=True)
    duration = Quantity(quantity.duration, required=True)
    peak = Quantity(quantity.current)

    def make(self, data: dict[str, Any]) -> ShortTimeRating:
        """Return the rating, whose peak is that of an asymmetrical current: more than its rms value."""
        if data.get("peak", data["current"] + 1) <= data["current"]:
            told = (
                "is not above current, which is an rms value; write the peak withstand current (Ipk), or leave it out"
            )
            raise refused({"peak": Fault("contradiction", told)})
        return ShortTimeRating(**data)


class _BackUpRating(StrictSchema):
    line_side = Object(_ProtectedBy(), required=True)
    voltage = Quantity(quantity.system_voltage, required=True)
    current = Quantity(quantity.current, required=True)
    reference = Text()
    supply = Choice("supply", _SUPPLY_TYPE)

    def make(self, data: dict[str, Any]) -> BackUpRating:
        """Return the rating."""
        return BackUpRating(**data)


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
    """Return the field of the published points of a current-limiting device's let-through."""
    return ListOf(Object(_LetThrough()), _MOST)


def breaking_capacities() -> ListOf:
    """Return the field of the breaking capacities of an overcurrent protective device (IEC 60947-2, 60898-1, 60269)."""
    return ListOf(Object(_BreakingCapacity()), _MOST)


def conditional_ratings() -> ListOf:
    """Return the field of the rated conditional short-circuit currents of whatever is protected (IEC)."""
    return ListOf(Object(_ConditionalRating()), _MOST)


def short_time_ratings() -> ListOf:
    """Return the field of the rated short-time withstand currents (IEC)."""
    return ListOf(Object(_ShortTimeRating()), _MOST)


def back_up_ratings() -> ListOf:
    """Return the field of the tested back-up combinations (IEC 60947-2)."""
    return ListOf(Object(_BackUpRating()), _MOST)
