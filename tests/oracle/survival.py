"""Does this panel survive a fault of this many milliamperes?  Asked of every component.

The other way round from a rating: nothing is lifted, carried or taken the lowest of.
A current is put to each component, which stands it by itself or by a lawful credit,
and the rating is the largest current that nobody falls to.
"""

from collections.abc import Iterator
from typing import Any

from tests.oracle.circuits import Circuit
from tests.oracle.circuits import rating_serves
from tests.oracle.combinations import fitted_row
from tests.oracle.combinations import sits_in_open_holder
from tests.oracle.drawing import Drawing
from tests.oracle.drawing import Path
from tests.oracle.drawing import below
from tests.oracle.drawing import branch_ocpds
from tests.oracle.drawing import counts
from tests.oracle.drawing import crosses_transformer
from tests.oracle.drawing import is_feeder
from tests.oracle.drawing import is_ocpd
from tests.oracle.drawing import is_transformer
from tests.oracle.drawing import once
from tests.oracle.drawing import paths
from tests.oracle.drawing import power_ocpds_below
from tests.oracle.misuse import reasons_to_withhold
from tests.oracle.narrowing import judged_at
from tests.oracle.quantities import milliamperes
from tests.oracle.tables import ASSUMED_KA
from tests.oracle.tables import COLUMNS_KA
from tests.oracle.tables import FUSE_CLASS_KA
from tests.oracle.tables import KILOAMPERE
from tests.oracle.tables import MERCURY_SWITCH_KA
from tests.oracle.tables import MOTOR_CONTROLLER_BANDS
from tests.oracle.transformers import hidden
from tests.oracle.transformers import passes
from tests.oracle.transformers import primary_ocpds
from tests.oracle.values import interrupting_rating
from tests.oracle.values import step_a


def withheld(document: dict[str, Any]) -> list[str]:
    """Why the panel gets no rating, in short words; empty where it gets one."""
    return reasons_to_withhold(Drawing(document))


def survives(document: dict[str, Any], supply_id: str, current: int) -> bool:
    """Whether everything that this supply feeds stands the current (milliamperes)."""
    return not fallen(document, supply_id, current)


def fallen(document: dict[str, Any], supply_id: str, current: int) -> list[str]:
    """The components on this supply that do not stand the current (milliamperes)."""
    return _fallen(Drawing(document), supply_id, current)


def largest_survived(document: dict[str, Any]) -> int | None:
    """The rating in milliamperes, lowest over the supplies; None where it is withheld."""
    drawing = Drawing(document)
    if reasons_to_withhold(drawing):
        return None
    for current in sorted(_candidates(document), reverse=True):
        if not any(_fallen(drawing, supply, current) for supply in drawing.supplies):
            return current
    return None


def _candidates(document: dict[str, Any]) -> set[int]:
    """Every current that is written in the document or assumed by a table."""
    bands = [ka for _, _, ka in MOTOR_CONTROLLER_BANDS]
    assumed = [*ASSUMED_KA.values(), *FUSE_CLASS_KA.values(), *bands, *MERCURY_SWITCH_KA]
    from_tables = {int(ka * KILOAMPERE) for ka in [*assumed, *COLUMNS_KA]}
    return from_tables | set(_written_currents(document))


def _written_currents(node: Any) -> Iterator[int]:
    if isinstance(node, dict):
        node = list(node.values())
    if isinstance(node, list):
        for item in node:
            yield from _written_currents(item)
    elif isinstance(node, str):
        try:
            yield milliamperes(node)
        except ValueError:
            return


def _fallen(drawing: Drawing, supply_id: str, current: int) -> list[str]:
    parts = [p for p in drawing.parts if _stands_open(drawing, p, supply_id)]
    asked = [p for p in parts if counts(drawing, p)]
    weak = [p for p in asked if not _stands(drawing, p, current)]
    transformers = [p for p in parts if is_transformer(drawing, p) and passes(drawing, p)]
    weak += [t for t in transformers if _relied_on(drawing, primary_ocpds(drawing, t)) < current]
    ends = [p for p in parts if p not in asked and not below(drawing, p) and not is_ocpd(drawing, p)]
    return weak + [p for p in ends if _relied_on(drawing, branch_ocpds(drawing, p)) < current]


def _stands_open(drawing: Drawing, id: str, supply_id: str) -> bool:
    """On a path from this supply that no passing transformer hides."""
    from_supply = [path for path in paths(drawing, id) if path and path[0].id == supply_id]
    return any(not hidden(drawing, path) for path in from_supply)


def _stands(drawing: Drawing, id: str, current: int) -> bool:
    worth = step_a(drawing, id)
    if worth is None or worth.value < current:
        return _credited(drawing, id, current)
    if is_ocpd(drawing, id) or is_feeder(drawing, id):
        return True
    return _relied_on(drawing, branch_ocpds(drawing, id)) >= current


def _relied_on(drawing: Drawing, protectors: list[str | None]) -> float:
    """The lowest IR among those of these devices that stand ahead of the panel."""
    ahead = [p for p in protectors if p is not None and "ahead" in drawing.parts[p]]
    return min((interrupting_rating(drawing, p) or 0 for p in ahead), default=float("inf"))


@once
def _is_withstand(drawing: Drawing, id: str) -> bool:
    """Has a withstand that a let-through may be compared with; the others have an IR."""
    kind = drawing.parts[id]["kind"]
    like_ir = is_ocpd(drawing, id) or kind in (
        "supplementary_protector",
        "combination_motor_controller",
    )
    return counts(drawing, id) and not like_ir


def _credited(drawing: Drawing, id: str, current: int) -> bool:
    """A current-limiting feeder device lets the whole branch stand it, on every path.

    A part that stands by a tested combination must pass by its unconditional marking as well.
    """
    worth = step_a(drawing, id)
    if worth is None or not _is_withstand(drawing, id):
        return False
    if any(crosses_transformer(drawing, path) for path in paths(drawing, id)):
        return False
    if is_feeder(drawing, id):
        option = drawing.options.get("credit_feeder_components", False)
        own = worth.plain if worth.tested else worth.value
        return option and _limited(drawing, paths(drawing, id), own, current)
    by_itself = worth.plain if worth.tested else None
    return all(_branch_credited(drawing, ocpd, current, by_itself) for ocpd in branch_ocpds(drawing, id))


def _branch_credited(drawing: Drawing, ocpd: str | None, current: int, by_itself: int | None) -> bool:
    if ocpd is None:
        return False
    weakest = _weakest_of_branch(drawing, ocpd)
    if by_itself is not None:
        weakest = min(weakest, by_itself)
    return _limited(drawing, paths(drawing, ocpd), weakest, current)


@once
def _weakest_of_branch(drawing: Drawing, ocpd: str) -> int:
    """The lowest withstand among the parts that this OCPD is the branch OCPD of."""
    members = [p for p in drawing.parts if _in_branch(drawing, p, ocpd)]
    worths = [step_a(drawing, part) for part in members]
    return min(0 if worth is None else worth.value for worth in worths)


def _in_branch(drawing: Drawing, id: str, ocpd: str) -> bool:
    if not _is_withstand(drawing, id) or is_feeder(drawing, id):
        return False
    same_zone = not any(crosses_transformer(drawing, path) for path in paths(drawing, id))
    return same_zone and ocpd in branch_ocpds(drawing, id)


def _limited(drawing: Drawing, to: list[Path], withstand: int, current: int) -> bool:
    """On every one of these paths some feeder device limits the current enough."""
    return all(
        not crosses_transformer(drawing, path)
        and any(
            lets_through_little(drawing, step.id, withstand, current)
            for step in path
            if is_ocpd(drawing, step.id) and power_ocpds_below(drawing, step.id)
        )
        for path in to
    )


@once
def lets_through_little(drawing: Drawing, id: str, withstand: int, current: int) -> bool:
    """At a level not below the current, and within its IR, the peak is at most the withstand."""
    if (interrupting_rating(drawing, id) or 0) < current:
        return False
    part = drawing.parts[id]
    if part["kind"] == "fuse":
        return not sits_in_open_holder(drawing, id) and _fuse_limits(drawing, id, withstand, current)
    return bool(part.get("current_limiting")) and _breaker_limits(part, judged_at(drawing, id), withstand, current)


def _fuse_limits(drawing: Drawing, id: str, withstand: int, current: int) -> bool:
    """F1 to F6; where the row lacks a column, the next higher one that it has."""
    row = fitted_row(drawing, id)
    for level in COLUMNS_KA:
        peak = next((row[column][0] for column in COLUMNS_KA if column >= level and column in row), None)
        if peak is not None and current <= level * KILOAMPERE and peak * KILOAMPERE <= withstand:
            return True
    return False


def _breaker_limits(part: dict[str, Any], circuits: list[Circuit], withstand: int, current: int) -> bool:
    """A published point at or above the current, none at or below it with a higher peak."""
    points = [
        (milliamperes(point["available"]), milliamperes(point["peak"]))
        for point in part.get("let_through", [])
        if all(rating_serves(point, circuit) for circuit in circuits)
    ]
    return any(
        available >= current and all(peak <= withstand for other, peak in points if other <= available)
        for available, _ in points
    )
