"""Random breakers, fuses in their holders, and self-protected controllers."""

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Any

from tests.oracle.combinations import as_read
from tests.oracle.combinations import row_of
from tests.oracle.pieces import BRANCH_CLASSES
from tests.oracle.pieces import CLASS_SIZES
from tests.oracle.pieces import FEEDER_CLASSES
from tests.oracle.pieces import GOOD_CLASSES
from tests.oracle.pieces import HOLDER_CLASS
from tests.oracle.pieces import INTERRUPTING
from tests.oracle.pieces import SIZES
from tests.oracle.pieces import TESTED
from tests.oracle.pieces import UNMARKED
from tests.oracle.pieces import Outlet
from tests.oracle.pieces import Part
from tests.oracle.pieces import Stock
from tests.oracle.quantities import scaled
from tests.oracle.tables import LET_THROUGH

CLASS_RATINGS = {"G": (100, 50), "H": (10,), "renewable": (10,), "midget": (10, 50, 100)}
LET_THROUGH_POINTS = ((10, 8), (22, 10), (35, 12), (42, 14), (65, 16), (100, 20), (150, 25))


def _edges(outlet: Outlet, feeder: bool, peaks: Sequence[float | Decimal]) -> tuple[float, ...]:
    """Withstands that just pass behind a feeder device, or just fail, once in four."""
    exact = [float(peak) for peak in peaks]
    just_below = [peak - 0.5 for peak in exact[-1:] if peak > 1]
    return (*exact, *just_below) if feeder and exact else outlet.peaks


class ProtectionStock(Stock):
    """The stock, with overcurrent protection; each maker returns the outlet behind it."""

    def protect(self, outlet: Outlet, feeder: bool, **fields: Any) -> Outlet:
        """Any OCPD."""
        choose = self.choose
        if not feeder and outlet.conductors == 3 and not outlet.site.dc and choose.chance(8):
            return self.self_protected(outlet, **fields)
        if choose.chance(40 if feeder else 55):
            return self.breaker(outlet, feeder, **fields)
        return self.fuse(outlet, feeder, **fields)

    def breaker(self, outlet: Outlet, feeder: bool, **fields: Any) -> Outlet:
        """A breaker, some of them current-limiting, some with a series rating."""
        choose = self.choose
        part = self.add("Q", "circuit_breaker", outlet, **fields)
        part["part"] = f"MB-{choose.pick((10, 20, 30))}"
        part["ampere_rating"] = f"{choose.pick(SIZES[:6])} A"
        if outlet.site.dc or not choose.chance(UNMARKED[outlet.level] // 2):
            marks = [self.rating(outlet, choose.pick(INTERRUPTING[outlet.level]))]
            if choose.chance(15):
                marks.append(self.rating(outlet, choose.pick(INTERRUPTING[outlet.level])))
            part["interrupting_ratings"] = marks
        if choose.chance(55 if feeder else 8):
            part["current_limiting"] = True
            part["let_through"] = self.let_through(outlet)
        if not feeder and outlet.guard is not None and choose.chance(35):
            part["interrupting_ratings"] = [self.rating(outlet, choose.pick((14, 18, 22, 25)))]
            part["series_ratings"] = [self.series(outlet)]
        peaks = [scaled(point["peak"], "kA") / 1000 for point in part.get("let_through", [])]
        return replace(outlet, feeds=(part["id"],), guard=part, peaks=_edges(outlet, feeder, peaks))

    def let_through(self, outlet: Outlet) -> list[Part]:
        """Some published points, the curve now and then not rising."""
        choose, points = self.choose, []
        for available, peak in LET_THROUGH_POINTS:
            if choose.chance(45):
                shifted = peak + choose.pick((0, 0, -2, 2, 6))
                point = {"available": f"{available} kA", "peak": f"{shifted} kA"}
                mark = self.rating(outlet, 1)
                del mark["current"]
                points.append({**point, **mark})
        return points or [{"available": "65 kA", "peak": "16 kA", "voltage": "600 V"}]

    def series(self, outlet: Outlet) -> Part:
        """A tested combination with what stands ahead."""
        mark = self.rating(outlet, self.choose.pick(TESTED))
        series = {"line_side": self.condition(outlet), **mark}
        if not self.choose.chance(5):
            series["reference"] = "tested combination, sheet 7"
        return series

    def fuse(self, outlet: Outlet, feeder: bool, classes: tuple[str, ...] = (), **fields: Any) -> Outlet:
        """A fuse of any class, more often than not in a holder."""
        choose = self.choose
        usual = GOOD_CLASSES if outlet.level == "high" else BRANCH_CLASSES
        fuse_class = choose.pick(classes or (FEEDER_CLASSES if feeder else usual))
        if self.slips():
            fuse_class = "miniature"
        size = choose.pick(CLASS_SIZES[fuse_class])
        about = {"fuse_class": fuse_class, "ampere_rating": f"{size} A"}
        inner = replace(outlet, guard={"kind": "fuse", **about})
        if choose.chance(60):
            holder = self.holder(inner, fuse_class, size, **fields)
            inner = inner.below(holder)
        part = self.add("F", "fuse", inner, **fields, **about)
        if fuse_class == "T" and choose.chance(70):
            part["voltage_rating"] = "300 V" if outlet.site.line <= 300 else "600 V"
        if outlet.site.dc or choose.chance(35):
            kiloamperes = choose.pick(CLASS_RATINGS.get(fuse_class, (200, 100, 50, 65, 300)))
            part["interrupting_ratings"] = [self.rating(outlet, kiloamperes)]
        voltage = 480 if fuse_class == "G" else 300 if part.get("voltage_rating") == "300 V" else 600
        key = (str(as_read(fuse_class)), voltage)
        row = row_of(*key, Decimal(size)) if key in LET_THROUGH else {}
        peaks = [peak for peak, _ in row.values()]
        return replace(inner, feeds=(part["id"],), guard=part, peaks=_edges(outlet, feeder, peaks))

    def holder(self, outlet: Outlet, fuse_class: str, size: int, **fields: Any) -> Part:
        """A holder or fused switch that the fuse fits, as a rule."""
        choose = self.choose
        kind = choose.pick(("fuseholder", "fuseholder", "fuseholder", "fused_disconnect_switch"))
        holder = self.withstand(kind, outlet, **fields)
        if choose.chance(85):
            fitting = HOLDER_CLASS.get(fuse_class, fuse_class)
            if fuse_class in ("RK1", "RK5", "CC") and choose.chance(6):
                fitting = "midget" if fuse_class == "CC" else "H"
            holder["fuse_class"] = "J" if self.slips() else fitting
        if choose.chance(50):
            rated = size // 2 if self.slips() else choose.pick((size, size * 2))
            holder["ampere_rating"] = f"{rated} A"
        return holder

    def self_protected(self, outlet: Outlet, **fields: Any) -> Outlet:
        """A controller that is its own branch protection."""
        choose = self.choose
        kind = choose.pick(("manual_motor_controller", "combination_motor_controller"))
        part = self.add("Q", kind, outlet, self_protected=True, **fields)
        part["short_circuit_ratings"] = [self.rating(outlet, choose.pick(INTERRUPTING[outlet.level]))]
        if choose.chance(25):
            tested = self.rating(outlet, choose.pick(TESTED))
            part["short_circuit_ratings"].append({**tested, "protected_by": self.condition(outlet)})
        return replace(outlet, feeds=(part["id"],), guard={**part, "kind": "self_protected"})
