"""What explains a rating: its records are made from what the rules concluded when somebody reads them."""

from collections.abc import Callable
from collections.abc import Iterable
from functools import cached_property
from typing import Any

from sccr.circuits import circuits
from sccr.iec61439.assessment import Assessment
from sccr.iec61439.derivation import derivation
from sccr.iec61439.reasons import limited_by
from sccr.iec61439.rules.conditions import conditions
from sccr.iec61439.rules.iec61439_1_5_3_panel_rating import SupplyRating
from sccr.iec61439.rules.iec61439_1_5_3_panel_rating import ahead_of_protection
from sccr.iec61439.rules.iec61439_1_5_3_panel_rating import holds_earthed_only
from sccr.iec61439.rules.iec61439_1_5_3_panel_rating import voltage_text
from sccr.iec61439.rules.iec61439_1_9_3_3_peak import peak_current
from sccr.iec61439.staircase import staircase
from sccr.panel.component import Component
from sccr.panel.serving import system_text
from sccr.rated_current import RatedCurrent
from sccr.result import Circuit
from sccr.result import ComponentValue
from sccr.result import Condition
from sccr.result import LimitedBy
from sccr.result import NextLimit
from sccr.result import Rating
from sccr.result import Step
from sccr.result import SupplyResult
from sccr.units import UNLIMITED
from sccr.units import MilliAmperes


class Explanation:
    """The numbers of a rating, and the makers of what explains them."""

    def __init__(self, found: Assessment, withheld: bool) -> None:
        self.found, self.withheld = found, withheld
        supplies = found.case.panel.supplies
        #: Whether a rating that was used at each supply holds on an earthed system only.
        self.earthed = {s.id: holds_earthed_only(found.case, found.scope, found.values, s) for s in supplies}
        self._texts = {s.id: voltage_text(s, self.earthed[s.id]) for s in supplies}
        self._short_time = {s.id: ahead_of_protection(found.case, found.values, s) for s in supplies}
        self.rating = None if withheld else self._rated(found.headline, found.short_time)

    @cached_property
    def rungs(self) -> tuple[Assessment, ...]:
        """The panel re-rated with each limit lifted in turn."""
        return () if self.withheld else tuple(staircase(self.found))

    def makers(self) -> dict[str, Callable[[Rating], Any]]:
        """Return what makes each field of a rating that explains it."""
        return {
            "limited_by": lambda _: () if self.rating is None else self._limits(self.found, self.found.headline),
            "next_limits": lambda _: self._next_limits(),
            "supplies": lambda _: tuple(self._supply(rating) for rating in self.found.supplies),
            "circuits": lambda _: self._circuits(),
            "components": lambda _: tuple(self._component(c) for c in self.found.case.panel.components),
            "conditions": lambda _: self._conditions(),
            "derivation": lambda rating: self._derivation(rating.circuits),
        }

    @cached_property
    def _circuit_texts(self) -> dict[str, str]:
        """The circuit that each component stands in, in words."""
        return {name: system_text(fed[0]) for name, fed in self.found.case.feeds.own.items()}

    def _rated(self, rating: SupplyRating, short_time: bool) -> RatedCurrent | None:
        if rating.current >= UNLIMITED:
            return None
        short_time = short_time and self.found.short_time  # plain conductors alone make no short-time rating
        return RatedCurrent(
            rating.current,
            self._texts[rating.supply],
            "Icw" if short_time else "Icc",
            self.found.reference if short_time else None,
            peak_current(self.found.case.tables.peak_factors, rating.current),
        )

    def _limits(self, found: Assessment, rating: SupplyRating) -> tuple[LimitedBy, ...]:
        return tuple(limited_by(found, limit) for limit in rating.limits)

    def _next_limits(self) -> tuple[NextLimit, ...]:
        rated = ((rung, self._rated(rung.headline, self.found.short_time)) for rung in self.rungs)
        return tuple(NextLimit(at, self._limits(rung, rung.headline)) for rung, at in rated if at is not None)

    def _supply(self, rating: SupplyRating) -> SupplyResult:
        rated = None if self.withheld else self._rated(rating, self._short_time[rating.supply])
        held = self._limits(self.found, rating) if rated is not None else ()
        return SupplyResult(rating.supply, rated, held, self.found.case.available[rating.supply].as_result())

    def _circuits(self) -> tuple[Circuit, ...]:
        return circuits(self.found.case, self._circuit_texts, self._circuit_current)

    def _circuit_current(self, names: Iterable[str]) -> MilliAmperes | None:
        values = self.found.values
        current = min([values[name].current for name in names if name in values], default=UNLIMITED)
        return None if self.withheld or current >= UNLIMITED else current

    def _component(self, component: Component) -> ComponentValue:
        """Return what a component is worth at its own place; there is no credit by which that would rise."""
        found, name = self.found, component.id
        value, exempt = found.values.get(name), found.scope.exempt.get(name)
        current = None if value is None or value.missing else value.current
        because = exempt[1] if exempt is not None else value.because if value is not None else ""
        role = "feeder" if name in found.case.one_line.feeders else "branch"
        return ComponentValue(
            name,
            component.kind.name,
            "control" if component.control else role,
            self._circuit_texts[name],
            current,
            current,
            "exempt" if value is None else str(value.basis),
            because,
            dict.fromkeys(sorted(component.from_catalogue), f"catalogue part {component.part}"),
        )

    def _conditions(self) -> tuple[Condition, ...]:
        return () if self.withheld else tuple(conditions(self.found, self.earthed))

    def _derivation(self, listed: tuple[Circuit, ...]) -> tuple[Step, ...]:
        return derivation(self.found, listed, self.withheld)
