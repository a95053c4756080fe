"""SB4.2: what an overcurrent protective device interrupts: marked, by fuse class, or assumed (method R6 to R8)."""

from sccr.panel.component import Component
from sccr.panel.feeds import Feed
from sccr.panel.serving import serves_all
from sccr.panel.serving import system_text
from sccr.panel.voltage import DC
from sccr.ul508a.subject import Subject
from sccr.ul508a.value import LIFTED
from sccr.ul508a.value import MARKED
from sccr.ul508a.value import Basis
from sccr.ul508a.value import Value
from sccr.units import current_text
from sccr.units import volts_text

CLAUSE = "SB4.2"


def own_rating(case: Subject, device: Component, lifted: frozenset[str]) -> Value:
    """Return the interrupting rating of a breaker or fuse in its place, series ratings apart."""
    fed = case.feeds_of(device.id)
    if device.id in lifted:
        return LIFTED
    if device.interrupting_ratings:
        value = _marked(device, fed)
    elif device.kind.name == "fuse":
        value = _by_class(case, device, fed)
    else:
        value = _assumed_breaker(case, device, fed)
    return _in_its_holder(case, device, value) if device.kind.name == "fuse" else value


def _marked(device: Component, fed: tuple[Feed, ...]) -> Value:
    """Return the highest marked interrupting rating that serves every circuit the device stands in (R1, R6)."""
    holding = [r for r in device.interrupting_ratings if serves_all(r.voltage, r.supply, fed)]
    if not holding:
        marked = ", ".join(f"{current_text(r.current)} at {r.voltage.text}" for r in device.interrupting_ratings)
        because = f"marked {marked}: none serves {system_text(fed[0])}"
        return Value(0, Basis.MISSING, because, code="voltage-above-rating")
    best = holding[0] if len(holding) == 1 else max(holding, key=lambda r: r.current)
    because = f"marked {current_text(best.current)} at {best.voltage.text}"
    return Value(best.current, MARKED, because, best.voltage)


def _by_class(case: Subject, fuse: Component, fed: tuple[Feed, ...]) -> Value:
    """Return the interrupting rating of an unmarked fuse by its class (R8). Nothing is assumed for DC."""
    row = case.tables.fuse_classes.get(fuse.fuse_class or "")
    if row is None:
        because = "neither a class nor an interrupting rating is stated: state fuse_class or interrupting_ratings"
        return Value(0, Basis.MISSING, because, code="no-rating")
    if any(feed.system is DC for feed in fed):
        return Value(0, Basis.MISSING, "no interrupting rating marked for DC, and none is assumed", code="no-dc-rating")
    current, limit = row.default_interrupting, row.voltage_limit(fuse.amperes)
    if row.assumed_row:
        assumed = case.tables.assumed[row.assumed_row][0]
        current, limit = assumed.current, int((assumed.up_to_v or 0) * 1_000)
    assert current is not None and limit is not None  # every class has a default or a row of Table SB4.1
    if any(feed.line > limit for feed in fed):
        because = f"unmarked class {row.name}: nothing is assumed above {volts_text(limit)} V"
        return Value(0, Basis.MISSING, because, code="voltage-above-rating")
    return Value(current, Basis.CLASS, f"class {row.name}, unmarked: {current_text(current)}", fuse.voltage)


def _assumed_breaker(case: Subject, device: Component, fed: tuple[Feed, ...]) -> Value:
    if any(feed.system is DC for feed in fed):
        return Value(0, Basis.MISSING, "no interrupting rating marked for DC, and none is assumed", code="no-dc-rating")
    row = case.tables.scope[device.kind.name].assumed_row or ""
    current = case.tables.assumed[row][0].current
    because = f"unmarked {device.kind.label}: {current_text(current)}, Table SB4.1"
    return Value(current, Basis.TABLE, because, device.voltage)


def _in_its_holder(case: Subject, fuse: Component, value: Value) -> Value:
    """Return the rating of a fuse as its holder leaves it: one that takes lower classes is worth the lowest (R7)."""
    if value.missing:
        return value
    lowest = lowest_class_taken(case, fuse)
    if lowest is None or lowest >= value.current:
        return value
    because = f"{value.because}; its holder takes lower classes: {current_text(lowest)}"
    return Value(lowest, Basis.CLASS, because, value.voltage)


def lowest_class_taken(case: Subject, fuse: Component) -> int | None:
    """Return the lowest default rating [mA] among the classes that a non-rejecting holder of a fuse takes."""
    lowest = None
    for holder in case.one_line.holders(fuse.id) if fuse.id in case.one_line.components else ():
        row = case.tables.holders.get(holder.fuse_class or "")
        if row is None or row.rejects_lower_classes:
            continue
        classes = (case.tables.fuse_classes[name].default_interrupting for name in row.accepts)
        stated = [current for current in classes if current is not None]
        lowest = min([*stated, *([lowest] if lowest is not None else [])], default=None)
    return lowest


def in_non_rejecting_holder(case: Subject, fuse: Component) -> bool:
    """Return whether a fuse stands in a holder that takes lower classes, so that no high rating rests on it (R7)."""
    if fuse.id not in case.one_line.components:
        return False
    rows = (case.tables.holders.get(h.fuse_class or "") for h in case.one_line.holders(fuse.id))
    return any(row is not None and not row.rejects_lower_classes for row in rows)
