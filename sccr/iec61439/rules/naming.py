"""Whether a protective device is the one that a rating names (method W1, B6), and how devices are said in words.

No fuse takes the place of another class or category, as the method of UL 508A lets it under conditions.
"""

from sccr.iec61439.subject import Subject
from sccr.panel.component import Component
from sccr.panel.component import ProtectedBy
from sccr.panel.naming import device_text
from sccr.units import ampere_rating_text


def specified_text(spec: ProtectedBy) -> str:
    """Return the protection that a rating asks for in words, such as 'fuse gG, max 63 A'."""
    what = "circuit breaker"
    if spec.device == "fuse":
        names = [f"class {name}" for name in spec.fuse_classes]
        what = f"fuse {' or '.join([*spec.utilization_categories, *names])}".rstrip()
    if spec.parts:
        what += f" {' or '.join(spec.parts)}"
    return what + (f", max {ampere_rating_text(spec.max_amperes)}" if spec.max_amperes is not None else "")


def not_named(case: Subject, spec: ProtectedBy, device: Component) -> str:
    """Return why a device is not the one named, or nothing where it is."""
    if device.kind.name != spec.device:
        return f"{device_text(device)} is another device"
    if spec.max_amperes is not None and (device.amperes is None or device.amperes > spec.max_amperes):
        return f"{device_text(device)} is not known to be within the maximum"
    if spec.parts and device.part not in spec.parts:
        return f"{device_text(device)} is not that part"
    return _other_fuse(case, spec, device) if spec.device == "fuse" else ""


def _other_fuse(case: Subject, spec: ProtectedBy, fuse: Component) -> str:
    if fuse.amperes is None:
        return f"{device_text(fuse)}: its current rating is not stated"
    if fuse.utilization_category is not None and fuse.utilization_category in spec.utilization_categories:
        return ""
    if fuse.fuse_class is None or fuse.fuse_class not in spec.fuse_classes:
        if not spec.utilization_categories and not spec.fuse_classes:
            return "the rating names no class and no category of fuse"
        return f"{device_text(fuse)} is of another class or category"
    if _in_non_rejecting_holder(case, fuse):
        return f"{device_text(fuse)} stands in a holder that takes lower classes"
    return ""


def _in_non_rejecting_holder(case: Subject, fuse: Component) -> bool:
    if fuse.id not in case.one_line.components:
        return False
    holders = case.one_line.holders(fuse.id)
    return any(holder.fuse_class in case.tables.non_rejecting_holders for holder in holders)
