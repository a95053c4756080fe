"""Whether a transformer hides what stands behind it: rules T1 to T3 (SB4.3.1)."""

from decimal import ROUND_CEILING
from decimal import Decimal
from typing import Any

from tests.oracle.circuits import THREE_WIRE
from tests.oracle.drawing import Drawing
from tests.oracle.drawing import Path
from tests.oracle.drawing import counts
from tests.oracle.drawing import is_ocpd
from tests.oracle.drawing import is_transformer
from tests.oracle.drawing import nearest_ocpd
from tests.oracle.drawing import once
from tests.oracle.drawing import paths
from tests.oracle.drawing import power_ocpds_below
from tests.oracle.narrowing import secondary
from tests.oracle.narrowing import transformer_phases
from tests.oracle.narrowing import windings
from tests.oracle.quantities import scaled
from tests.oracle.tables import KILOAMPERE
from tests.oracle.values import step_a


def hidden(drawing: Drawing, path: Path) -> bool:
    """Whether a part at the end of this path stands behind a transformer that passes."""
    return any(is_transformer(drawing, s.id) and passes(drawing, s.id) for s in path)


@once
def passes(drawing: Drawing, id: str) -> bool:
    """T1, T2 or T3, the same for every winding, of an isolated transformer with a primary OCPD."""
    transformer = drawing.parts[id].get("transformer", {})
    if not power_ocpds_below(drawing, id) or transformer.get("isolated") is False:
        return False
    if "kva" not in transformer or None in primary_ocpds(drawing, id):
        return False
    numbers = [n + 1 for n in range(len(windings(drawing, id)))]
    used = [n for n in numbers if _weakest_behind(drawing, id, n) < float("inf")]
    return any(all(rule(drawing, id, n) for n in used) for rule in (_t1, _t2, _t3))


def primary_ocpds(drawing: Drawing, id: str) -> list[str | None]:
    return [nearest_ocpd(drawing, path) for path in paths(drawing, id)]


def _kva(drawing: Drawing, id: str) -> Decimal:
    return scaled(drawing.parts[id]["transformer"]["kva"], "VA", "kVA", "MVA") / 1000


def _t1(drawing: Drawing, id: str, winding: int) -> bool:
    return _kva(drawing, id) <= 10 and _weakest_behind(drawing, id, winding) >= 5 * KILOAMPERE


def _t2(drawing: Drawing, id: str, winding: int) -> bool:
    small = _kva(drawing, id) <= 5 and secondary(drawing, id, winding).line <= 120
    return small and _weakest_behind(drawing, id, winding) >= 2 * KILOAMPERE


def _weakest_behind(drawing: Drawing, id: str, winding: int) -> float:
    """The lowest step A value behind a winding, inner transformers that pass taken out."""
    worths = [
        step_a(drawing, part)
        for part in drawing.parts
        if counts(drawing, part) and _seen_through(drawing, part, id, winding)
    ]
    return min((0 if worth is None else worth.value for worth in worths), default=float("inf"))


def _seen_through(drawing: Drawing, part: str, id: str, winding: int) -> bool:
    for path in paths(drawing, part):
        if (id, winding) in path:
            inner = path[path.index((id, winding)) + 1 :]
            if not hidden(drawing, inner):
                return True
    return False


def _t3(drawing: Drawing, id: str, winding: int) -> bool:
    """T3: everything behind stands what the secondary can deliver."""
    impedance = drawing.parts[id]["transformer"].get("impedance")
    if impedance is None or not drawing.options.get("transformer_impedance_credit", True):
        return False
    centre_tapped = secondary(drawing, id, winding).system == THREE_WIRE
    if centre_tapped and not _all_two_pole(drawing, id, winding):
        return False
    return _weakest_behind(drawing, id, winding) >= deliverable(drawing, id, winding)


def _all_two_pole(drawing: Drawing, id: str, winding: int) -> bool:
    """No OCPD behind the winding that may serve a line-to-neutral load."""
    behind = [p for p in drawing.parts if any((id, winding) in path for path in paths(drawing, p))]
    return all(drawing.parts[p].get("poles", 1) >= 2 for p in behind if is_ocpd(drawing, p))


def deliverable(drawing: Drawing, id: str, winding: int) -> int:
    """Milliamperes from the full kVA and 0.9 of the marked impedance, rounded up."""
    transformer: dict[str, Any] = drawing.parts[id]["transformer"]
    circuit = secondary(drawing, id, winding)
    current = scaled(transformer["kva"], "VA", "kVA", "MVA") * 1000 / circuit.line
    current /= scaled(transformer["impedance"], "%") / 100 * Decimal("0.9")
    if transformer_phases(drawing, id) == 3 and not circuit.system.startswith("single_phase"):
        current /= Decimal(3).sqrt()
    return int(current.to_integral_value(ROUND_CEILING))
