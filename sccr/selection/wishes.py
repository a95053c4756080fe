"""The checks of what is wished of the device: kind, trip curve, standards, mounting, accessories."""

from sccr.selection.tables import tables
from sccr.selection.verdict import Case
from sccr.selection.verdict import Verdict
from sccr.selection.verdict import fails
from sccr.selection.verdict import passes
from sccr.ul508a.rules.warnings import DEFAULT_ACCESSORIES

_WISH = "as wanted"
_ACCESSORIES = "common practice, no source"


def kind(case: Case) -> Verdict:
    """One of the kinds that are wanted."""
    wanted, has = case.circuit.wanted.kinds, case.device.kind
    told = f"a {has.label}"
    return passes(_WISH, told) if not wanted or has.name in wanted else fails(_WISH, f"{told}: not wanted")


def trip_curve(case: Case) -> Verdict:
    """The trip curve that is wanted."""
    wanted, has = case.circuit.wanted.trip_curve, case.device.trip_curve
    told = f"trip curve {has}" if has else "no trip curve is stated"
    if wanted is None or has == wanted:
        return passes(_WISH, told)
    return fails(_WISH, f"{told}; {wanted} is wanted")


def standards(case: Case) -> Verdict:
    """Every standard that is wanted."""
    wanted, has = case.circuit.wanted.standards, {_plain(standard) for standard in case.device.standards}
    missing = [standard for standard in wanted if _plain(standard) not in has]
    if missing:
        return fails(_WISH, f"not to {', '.join(missing)}")
    return passes(_WISH, f"to {', '.join(case.device.standards) or 'no standard that is stated'}")


def mounting(case: Case) -> Verdict:
    """The mounting that is wanted; a fuse is mounted by its holder."""
    wanted, has = case.circuit.wanted.mounting, case.device.mounting
    if case.device.is_fuse and has is None:
        return passes(
            _WISH,
            "goes into a holder that rejects lower classes",
            f"the holder's mounting: {wanted} is wanted" if wanted else None,
        )
    told = f"mounted on {has}" if has else "its mounting is not stated"
    if wanted is None or (has is not None and _plain(has) == _plain(wanted)):
        return passes(_WISH, told)
    return fails(_WISH, f"{told}; {wanted} is wanted")


def accessories(case: Case) -> Verdict:
    """As many accessories as it takes, and of those that it takes, where it says which.

    Indicating ones (auxiliary contact, alarm switch) report; tripping ones (shunt trip, undervoltage release) act.
    """
    device, wanted = case.device, case.circuit.wanted.accessories
    if not wanted:
        return passes(_ACCESSORIES, "no accessories are wanted")
    listed = " and ".join(wanted)
    if not device.kind.accessories:
        return fails(_ACCESSORIES, f"a {device.kind.label} takes no accessory; {listed} is wanted")
    limit = device.accessory_limit or DEFAULT_ACCESSORIES
    if len(wanted) > limit:
        return fails(_ACCESSORIES, f"takes {limit}; {listed} are wanted")
    offered = {_means(each) for each in device.accessories}
    lacking = [each for each in wanted if _means(each) not in offered]
    if device.accessories and lacking:
        return fails(_ACCESSORIES, f"takes {', '.join(device.accessories)}; {' and '.join(lacking)} is wanted")
    if device.accessories:
        return passes(_ACCESSORIES, f"takes {listed}")
    return passes(_ACCESSORIES, f"takes accessories; {listed} is wanted", "which accessories it takes")


def _means(accessory: str) -> str:
    return tables().accessories.get(accessory.casefold(), accessory.casefold())


def _plain(text: str) -> str:
    return " ".join(text.casefold().split())
