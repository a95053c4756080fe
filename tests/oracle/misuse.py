"""Application errors for which no rating is published (rulebook section 8)."""

from collections.abc import Iterator

from tests.oracle.circuits import voltage_serves
from tests.oracle.combinations import amperes
from tests.oracle.combinations import fits
from tests.oracle.combinations import holders_of
from tests.oracle.drawing import LOADS
from tests.oracle.drawing import Drawing
from tests.oracle.drawing import control_is_honoured
from tests.oracle.drawing import counts
from tests.oracle.drawing import in_panel
from tests.oracle.drawing import is_ocpd
from tests.oracle.drawing import nearest_ocpd
from tests.oracle.drawing import once
from tests.oracle.drawing import paths
from tests.oracle.narrowing import arriving
from tests.oracle.narrowing import is_single_pole
from tests.oracle.narrowing import judged_at
from tests.oracle.quantities import volts
from tests.oracle.values import step_a

MEASURING_TAPS = {
    "voltmeter",
    "current_meter",
    "current_transformer",
    "current_shunt",
    "varistor",
    "surge_protective_device",
}
SINGLE_POLE_KINDS = ("circuit_breaker", "supplementary_protector")
NO_NEUTRAL_NEEDED = ("single_phase_two_wire", "dc", "high_leg_delta")


@once
def reasons_to_withhold(drawing: Drawing) -> list[str]:
    """Every error of the panel, in the order of its components."""
    if not any(counts(drawing, part) for part in drawing.parts):
        return ["no rating needed"]
    inside = [p for p in drawing.parts if "ahead" not in drawing.parts[p]]
    return [f"{part}: {reason}" for part in inside for reason in _reasons(drawing, part)]


def _reasons(drawing: Drawing, id: str) -> Iterator[str]:
    yield from _protection(drawing, id)
    yield from _phases(drawing, id)
    yield from _single_pole_feeds(drawing, id)
    if counts(drawing, id) and step_a(drawing, id) is None:
        yield "no rating that may be used"
    if in_panel(drawing, id) and not control_is_honoured(drawing, id):
        yield from _voltage_rating(drawing, id)
        yield from _holder(drawing, id)
        yield from _single_poles(drawing, id)
        yield from _miniature(drawing, id)


def _protection(drawing: Drawing, id: str) -> Iterator[str]:
    """A branch with no OCPD, or with a supplementary protector for one."""
    is_leaf = not any(feed.id == id for feeds in drawing.feeds.values() for feed in feeds)
    kind = drawing.parts[id]["kind"]
    if not is_leaf or is_ocpd(drawing, id) or kind in MEASURING_TAPS:
        return
    for path in paths(drawing, id):
        if nearest_ocpd(drawing, path) is None:
            kinds = {drawing.parts[s.id]["kind"] for s in path if s.id in drawing.parts} | {kind}
            supplementary = "supplementary_protector" in kinds
            yield "only a supplementary protector" if supplementary else "no OCPD"


def _phases(drawing: Drawing, id: str) -> Iterator[str]:
    """A three-phase load or transformer where fewer conductors arrive."""
    part = drawing.parts[id]
    stated = part.get("phases") or part.get("transformer", {}).get("phases")
    too_few = any(circuit.conductors < 3 for circuit in arriving(drawing, id))
    if part["kind"] in LOADS | {"transformer"} and stated == 3 and too_few:
        yield "three-phase load behind too few poles"


def _voltage_rating(drawing: Drawing, id: str) -> Iterator[str]:
    part = drawing.parts[id]
    if part["kind"] in LOADS or "voltage_rating" not in part:
        return
    if not all(voltage_serves(volts(part["voltage_rating"]), c) for c in judged_at(drawing, id)):
        yield "its voltage rating does not serve"


def _holder(drawing: Drawing, id: str) -> Iterator[str]:
    """A fuse in a holder of another class, or above the holder's amperes."""
    part = drawing.parts[id]
    for holder in holders_of(drawing, id) if part["kind"] == "fuse" else []:
        if not fits(part.get("fuse_class"), holder.get("fuse_class")):
            yield "a fuse of another class than its holder"
        fitted, largest = amperes(part), amperes(holder)
        if fitted is not None and largest is not None and fitted > largest:
            yield "a fuse above the amperes of its holder"


def _single_poles(drawing: Drawing, id: str) -> Iterator[str]:
    """A single-pole breaker where no neutral is to be had, without being marked for it."""
    for circuit in arriving(drawing, id) if _lacks_line_to_line(drawing, id) else []:
        if not circuit.has_neutral and circuit.system not in NO_NEUTRAL_NEEDED:
            yield "a single pole from line to line"


def _single_pole_feeds(drawing: Drawing, id: str) -> Iterator[str]:
    """Several single poles of one supply feed a part from line to line."""
    singles = [feed.id for feed in drawing.feeds[id] if is_single_pole(drawing, feed.id)]
    for feed in singles:
        zones = {circuit.zone for circuit in judged_at(drawing, feed)}
        shared = [f for f in singles if zones & {c.zone for c in judged_at(drawing, f)}]
        if len(shared) > 1 and _lacks_line_to_line(drawing, feed):
            yield f"fed from line to line by the single pole {feed}"


def _lacks_line_to_line(drawing: Drawing, id: str) -> bool:
    part = drawing.parts[id]
    single = part["kind"] in SINGLE_POLE_KINDS and part.get("poles") == 1
    return single and not part.get("line_to_line")


def _miniature(drawing: Drawing, id: str) -> Iterator[str]:
    """A miniature fuse above 125 V as branch or feeder OCPD of a power circuit."""
    part = drawing.parts[id]
    if part["kind"] != "fuse" or part.get("fuse_class") != "miniature":
        return
    above = any(circuit.volts > 125 for circuit in judged_at(drawing, id))
    if above and part.get("circuit") != "control":
        yield "a miniature fuse above 125 V"
