"""Tested combinations (rulebook R3, R4, R5, R7) and Table SB4.2 look-ups."""

from decimal import Decimal
from typing import Any

from tests.oracle.drawing import HOLDERS
from tests.oracle.drawing import Drawing
from tests.oracle.narrowing import judged_at
from tests.oracle.quantities import scaled
from tests.oracle.quantities import volts
from tests.oracle.tables import COLUMNS_KA
from tests.oracle.tables import KILOAMPERE
from tests.oracle.tables import LET_THROUGH

SUBSTITUTED_CLASSES = ("CC", "G", "J", "L", "RK1", "RK5", "T")
LOW_CLASSES = {"H", "K1", "K5", "RK1", "RK5", "renewable"}
HOLDER_TAKES = {
    "R": {"RK1", "RK5"},
    "RK1": {"RK1", "RK5"},
    "RK5": {"RK1", "RK5"},
    "H": LOW_CLASSES,
    "K1": LOW_CLASSES,
    "K5": LOW_CLASSES,
    "midget": {"midget", "CC"},
}
OPEN_HOLDERS = {"H", "K1", "K5", "midget"}

Row = dict[int, tuple[float, float]]  # available kA: (peak kA, thousands of A2s)


def holders_of(drawing: Drawing, id: str) -> list[dict[str, Any]]:
    """The holders or fused switches that a fuse sits in."""
    feeding = [drawing.parts.get(feed.id, {}) for feed in drawing.feeds[id]]
    return [part for part in feeding if part.get("kind") in HOLDERS]


def sits_in_open_holder(drawing: Drawing, id: str) -> bool:
    """Whether the holder would take a lower class as well (R7)."""
    return any(holder.get("fuse_class") in OPEN_HOLDERS for holder in holders_of(drawing, id))


def fits(fuse_class: str | None, holder_class: str | None) -> bool:
    """A holder takes the classes that it is made for; an unmarked one is taken as fitted."""
    if holder_class is None:
        return True
    return fuse_class in HOLDER_TAKES.get(holder_class, {holder_class})


def amperes(part: dict[str, Any], field: str = "ampere_rating") -> Decimal | None:
    return scaled(part[field], "A", "kA") if field in part else None


def holds_current(
    drawing: Drawing,
    guard: str | None,
    condition: dict[str, Any],
    marked: int,
    direct: bool = False,
) -> int | None:
    """The current that a tested combination is good for behind this OCPD, or None."""
    part = drawing.parts.get(guard or "", {})
    if part.get("kind") != condition["device"]:
        return None
    if part["kind"] == "circuit_breaker":
        return marked if _same_breaker(part, condition) else None
    # Fuses of one size and of many ratings fit a miniature holder: nothing high rests on the one that is in it.
    miniature = any(holder.get("fuse_class") == "miniature" for holder in holders_of(drawing, part["id"]))
    if miniature or sits_in_open_holder(drawing, part["id"]) or not _not_larger(part, condition):
        return None
    if as_read(part.get("fuse_class")) in condition.get("fuse_classes", []):
        return marked
    return None if direct else _substituted(drawing, part, condition, marked)


def _same_breaker(part: dict[str, Any], condition: dict[str, Any]) -> bool:
    """R5: one of the named parts, not above the stated maximum."""
    named = part.get("part") in condition.get("parts", [])
    return named and ("max_ampere_rating" not in condition or _not_larger(part, condition))


def _not_larger(part: dict[str, Any], condition: dict[str, Any]) -> bool:
    fitted, largest = amperes(part), amperes(condition, "max_ampere_rating")
    return fitted is not None and largest is not None and fitted <= largest


def as_read(fuse_class: str | None) -> str | None:
    """F6: an R holder takes both classes, so a fitted RK1 is read as RK5."""
    return "RK5" if fuse_class == "RK1" else fuse_class


def _substituted(drawing: Drawing, part: dict[str, Any], condition: dict[str, Any], marked: int) -> int | None:
    """R4: the best claim at which the fitted class lets through no more than a named one."""
    fitted = fitted_row(drawing, part["id"])
    claims = {marked, *(c * KILOAMPERE for c in (200, 100, 50) if c * KILOAMPERE <= marked)}
    for claim in sorted(claims, reverse=True):
        column = next((c for c in COLUMNS_KA if claim <= c * KILOAMPERE), None)
        for named in condition.get("fuse_classes", []):
            if named in SUBSTITUTED_CLASSES and _lets_no_more(fitted, condition, named, column):
                return claim
    return None


def _lets_no_more(fitted: Row, condition: dict[str, Any], named: str, column: int | None) -> bool:
    """Both peak and I2t, in a column that both classes have.

    A named class T is read at 300 V, whatever the circuit: the smaller let-through.
    """
    voltage = 300 if named == "T" else rows_voltages(named)[0]
    specified = row_of(named, voltage, amperes(condition, "max_ampere_rating"))
    if column is None or column not in fitted or column not in specified:
        return False
    return all(ours <= theirs for ours, theirs in zip(fitted[column], specified[column], strict=True))


def rows_voltages(fuse_class: str | None) -> list[int]:
    """The voltages at which Table SB4.2 lists a class, highest first."""
    return sorted((v for c, v in LET_THROUGH if c == fuse_class), reverse=True)


def row_of(fuse_class: str | None, voltage: int, size: Decimal | None) -> Row:
    """The next larger row of a class (F6); empty where the table has none."""
    rows = LET_THROUGH[str(fuse_class), voltage]
    larger = [row for row in rows if size is not None and size <= row]
    return rows[min(larger)] if larger else {}


def fitted_row(drawing: Drawing, id: str) -> Row:
    """The row of a fitted fuse, if it applies in every circuit that reaches the fuse.

    A class T fuse of unknown voltage is read at 600 V, the higher let-through, while
    that part of the table goes so far.
    """
    part = drawing.parts[id]
    fuse_class = as_read(part.get("fuse_class"))
    voltages = rows_voltages(fuse_class)
    if fuse_class == "T" and "voltage_rating" in part:
        voltages = [v for v in voltages if volts(part["voltage_rating"]).line <= v][-1:]
    for voltage in voltages:
        row = row_of(fuse_class, voltage, amperes(part))
        if row:
            applies = all(not c.dc and c.line <= voltage for c in judged_at(drawing, id))
            return row if applies else {}
    return {}
