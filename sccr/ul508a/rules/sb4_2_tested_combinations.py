"""SB4.2: whether the device that protects a part is the one that a tested combination names (method R3 to R5)."""

from typing import NamedTuple

from sccr.panel.component import Component
from sccr.panel.component import ProtectedBy
from sccr.panel.naming import device_text
from sccr.panel.voltage import DC
from sccr.panel.voltage import Voltage
from sccr.ul508a.rules.sb4_2_interrupting_ratings import in_non_rejecting_holder
from sccr.ul508a.subject import Subject
from sccr.ul508a.tables import LetThroughRow
from sccr.units import MilliAmperes
from sccr.units import ampere_rating_text
from sccr.units import current_text

CLAUSE = "SB4.2"


class Claim(NamedTuple):
    """What may be claimed of a tested combination behind a device [mA]; 0 with the reason where nothing may."""

    current: MilliAmperes
    because: str


def specified_text(spec: ProtectedBy) -> str:
    """Return the protection that a rating asks for in words, such as 'fuse class J or CC, max 30 A'."""
    named = [f"class {' or '.join(spec.fuse_classes)}"] if spec.fuse_classes else []
    what = f"fuse {' or '.join([*named, *spec.utilization_categories])}" if spec.device == "fuse" else "circuit breaker"
    if spec.parts:
        what += f" {' or '.join(spec.parts)}"
    return what + (f", max {ampere_rating_text(spec.max_amperes)}" if spec.max_amperes is not None else "")


def named_device(spec: ProtectedBy, device: Component, case: Subject) -> Claim | None:
    """Return why a device is not the one named (a claim of 0), or None where it is.

    It is named by type, class or part, and maximum amperes. A fitted RK1 fuse counts as RK5, since its holder
    takes both (F6).
    """
    if device.kind.name != spec.device:
        return Claim(0, f"{device_text(device)} is another device")
    if spec.max_amperes is not None and (device.amperes is None or device.amperes > spec.max_amperes):
        return Claim(0, f"{device_text(device)} is not known to be within the maximum")
    if spec.device == "fuse":
        if in_non_rejecting_holder(case, device):
            return Claim(0, f"{device_text(device)} stands in a holder that takes lower classes")
        if device.amperes is None or read_class(case, device) not in spec.fuse_classes:
            return Claim(0, f"{device_text(device)} is of another class")
        return None
    if device.part is None or device.part not in spec.parts:
        return Claim(0, f"{device_text(device)} is not that part")
    return None


def read_class(case: Subject, fuse: Component) -> str:
    """Return the class in which a fitted fuse is read: RK1 as RK5 (F6), any other as it is."""
    row = case.tables.fuse_classes.get(fuse.fuse_class or "")
    if row is None:
        return ""
    return row.read_as if row.read_as and row.name == "RK1" else row.name


def claim(case: Subject, spec: ProtectedBy, marked: MilliAmperes, device: Component) -> Claim:
    """Return what a rating marked `marked` [mA] is worth behind `device`: all, a lower column (R4), or nothing."""
    refusal = named_device(spec, device, case)
    if refusal is None:
        return Claim(marked, f"with {device_text(device)} as tested")
    if spec.device != "fuse" or device.kind.name != "fuse" or spec.max_amperes is None or device.amperes is None:
        return refusal
    if device.amperes > spec.max_amperes or in_non_rejecting_holder(case, device):
        return refusal
    return _other_class(case, spec, marked, device) or refusal


def _other_class(case: Subject, spec: ProtectedBy, marked: MilliAmperes, device: Component) -> Claim | None:
    """R4: accept another class at the best column where its peak and I²t are within those of the specified class."""
    fitted = fitted_rows(case, device)
    for level in _levels(case, marked):
        column = next((c for c in case.tables.columns if c >= level), None)
        for name in spec.fuse_classes if column is not None and fitted else ():
            specified = _specified_row(case, name, spec.max_amperes or 0)
            if specified is not None and all(_within(row, specified, column or 0) for row in fitted):
                text = f"{device_text(device)} lets through no more than class {name}"
                text += f" {ampere_rating_text(spec.max_amperes or 0)} at {current_text(column or 0)}"
                return Claim(level, f"{text} (Table SB4.2)")
    return None


def _levels(case: Subject, marked: MilliAmperes) -> list[MilliAmperes]:
    """Return the currents that may be claimed, highest first: the marked one, else a column below it."""
    return [marked, *(c for c in reversed(case.tables.columns) if c < marked)]


def _within(fitted: LetThroughRow, specified: LetThroughRow, available: MilliAmperes) -> bool:
    ours, theirs = fitted.column(available), specified.column(available)
    return ours is not None and theirs is not None and ours.peak <= theirs.peak and ours.i2t <= theirs.i2t


def _specified_row(case: Subject, name: str, max_amperes: MilliAmperes) -> LetThroughRow | None:
    """Return the row of a specified class; a class with rows of several voltages is read at the lowest (settled 8)."""
    if not case.tables.fuse_classes[name].may_be_replaced:
        return None
    voltages = case.tables.let_through_voltages(name)
    return case.tables.let_through_row(name, max_amperes, voltages[0]) if voltages else None


def fitted_rows(case: Subject, fuse: Component) -> tuple[LetThroughRow, ...]:
    """Return the rows of Table SB4.2 that a fitted fuse is held to: every one that its class and voltage allow.

    A row serves up to its own voltage; an unstated voltage is held to all rows that serve the circuit (settled 8).
    """
    row = case.tables.fuse_classes.get(fuse.fuse_class or "")
    if row is None or row.read_as is None or fuse.amperes is None:
        return ()
    name, amperes = row.read_as, fuse.amperes
    voltages = case.tables.let_through_voltages(name)
    if len(voltages) > 1 and fuse.voltage is not None:
        voltages = (_row_voltage(voltages, fuse.voltage),)
    fed = case.feeds_of(fuse.id)
    if any(feed.system is DC for feed in fed):
        return ()  # the class limits are those of alternating current
    circuit = max(feed.system_line for feed in fed)
    rows = (case.tables.let_through_row(name, amperes, voltage) for voltage in voltages if voltage >= circuit)
    return tuple(found for found in rows if found is not None)


def _row_voltage(voltages: tuple[int, ...], stated: Voltage) -> int:
    return next((voltage for voltage in voltages if voltage >= stated.line), voltages[-1])
