"""Why a value is no quantity, and what to write instead."""

import re
from typing import Final

from sccr.schema.measure import MEASURES
from sccr.schema.measure import SYSTEM_VOLTAGE
from sccr.schema.measure import Measure
from sccr.schema.problems import shown


class QuantityError(ValueError):
    """A value is not the quantity that is wanted. `code` is stable; `detail` says why and what to write."""

    def __init__(self, code: str, detail: str) -> None:
        self.code = code
        self.detail = detail
        super().__init__(detail)

    def of(self, value: object) -> "QuantityError":
        """Return the error with the value in front."""
        return QuantityError(self.code, f"{shown(value)} {self.detail}")


_BARE: Final = re.compile(r"\s*[0-9.,]*\s*")
_GROUPED: Final = re.compile(r"([0-9]{1,3}(?:[,'’_ \u00a0\u202f][0-9]{3})+) ?([^\s0-9].*)")
_COMMA: Final = re.compile(r"([0-9]+),([0-9]+) ?([^\s0-9].*)")
_FORMS: Final = (
    (re.compile(r"[+-]?(nan|inf|infinity)\b.*", re.IGNORECASE), "not-a-quantity", "is not a number with a unit"),
    (re.compile(r"[-−–].*"), "not-positive", "is negative"),
    (re.compile(r".*(?![0-9])\d.*"), "not-a-quantity", "has digits that are not 0 to 9"),
    (re.compile(r"[+-]?[0-9.]+ ?[eE][+-]?[0-9]+.*"), "not-a-quantity", "has an exponent"),
    (re.compile(r"\s.*|.*\s|.*\s{2}.*|.*[^\S ].*"), "not-a-quantity", "has more than one plain space in it"),
    (re.compile(r"\+.*|0[0-9].*|\..*|[0-9]+\.(?![0-9]).*"), "not-a-quantity", "is not as plain as 0.5 or 65"),
    (re.compile(r"[0-9.]+[ -]?[0-9]*/[0-9]+ ?(hp|HP|[kmM]?[AW])"), "not-a-quantity", "has a fraction, not a decimal"),
)
_WITH_UNIT: Final = re.compile(r"(?:0|[1-9][0-9]*)(?:\.[0-9]+)? ?([^\s0-9.].*)")
_LONGEST: Final = 40


def why_no_quantity(value: object, measure: Measure) -> QuantityError:
    """Return the error that says why `value` is no quantity of this measure."""
    if not isinstance(value, str) or _BARE.fullmatch(value):
        return QuantityError("not-a-quantity", f"has no unit; write {_form(measure)}{_stakes(measure)}").of(value)
    if len(value) > _LONGEST:
        return QuantityError("not-a-quantity", f"is too long for a quantity; write {_form(measure)}").of(value)
    error = _why_no_number(value, measure) or _why_no_unit(value, measure)
    if error is None:
        error = QuantityError("not-a-quantity", f"is not a quantity; write {_form(measure)}{_slashed(measure)}")
    return error.of(value)


def _form(measure: Measure) -> str:
    return f"{measure.wanted} with its unit, such as {measure.example}"


def _stakes(measure: Measure) -> str:
    if measure.name != "current":
        return ""
    return "; a bare number could be amperes or kiloamperes"


def _why_no_unit(value: str, measure: Measure) -> QuantityError | None:
    match = _WITH_UNIT.fullmatch(value)
    if match is None or "/" in value:
        return None
    unit = match[1]
    for other in MEASURES:
        if unit in other.units:
            detail = f"is {other.wanted}, and {measure.wanted} is wanted, such as {measure.example}"
            return QuantityError("wrong-dimension", detail)
    spelled = {known.casefold(): known for known in measure.units}.get(unit.casefold())
    if spelled is not None:
        return QuantityError("unknown-unit", f"has the unit in the wrong case; did you mean {spelled}?")
    units = ", ".join(measure.units)
    return QuantityError("unknown-unit", f"has no unit of {measure.wanted} ({units}); write {_form(measure)}")


def _why_no_number(value: str, measure: Measure) -> QuantityError | None:
    grouped = _GROUPED.fullmatch(value)
    if grouped is not None:
        return _separated(re.sub("[^0-9]", "", grouped[1]), grouped[2])
    comma = _COMMA.fullmatch(value)
    if comma is not None:
        pointed = shown(f"{comma[1]}.{comma[2]} {comma[3]}")
        return QuantityError("not-a-quantity", f"has a comma; write {pointed}, with a point")
    for form, code, why in _FORMS:
        if form.fullmatch(value):
            return QuantityError(code, f"{why}; write {_form(measure)}")
    return None


def _separated(digits: str, unit: str) -> QuantityError:
    plain = shown(f"{digits} {unit}")
    kilo = f" or {shown(f'{digits[:-3]} k{unit}')}" if unit in ("A", "V", "VA") and digits.endswith("000") else ""
    return QuantityError("thousands-separator", f"has a thousands separator; write {plain}{kilo}")


def _slashed(measure: Measure) -> str:
    return " (a slash voltage has a capital Y and no spaces inside)" if measure is SYSTEM_VOLTAGE else ""
