"""What explains a rating: its records are made from what the clauses concluded when somebody reads them."""

from collections.abc import Callable
from collections.abc import Mapping
from functools import cached_property
from typing import Any

from sccr.panel.component import Component
from sccr.panel.feeds import Feed
from sccr.panel.serving import system_text
from sccr.panel.voltage import Voltage
from sccr.rated_current import RatedCurrent
from sccr.result import Circuit
from sccr.result import ComponentValue
from sccr.result import Condition
from sccr.result import LimitedBy
from sccr.result import NextLimit
from sccr.result import Rating
from sccr.result import Step
from sccr.result import SupplyResult
from sccr.ul508a.assessment import Assessment
from sccr.ul508a.circuits import circuits
from sccr.ul508a.derivation import derivation
from sccr.ul508a.reasons import holds
from sccr.ul508a.reasons import limited_by
from sccr.ul508a.rules.sb4_4_panel_rating import SupplyRating
from sccr.ul508a.rules.sb4_4_panel_voltage import panel_voltage
from sccr.ul508a.rules.sb4_4_panel_voltage import voltage_text
from sccr.ul508a.rules.sb5_conditions import conditions
from sccr.ul508a.staircase import staircase
from sccr.ul508a.value import MISSING
from sccr.units import UNLIMITED


class Explanation:
    """The numbers of a rating, and the makers of what explains them."""

    def __init__(self, found: Assessment, withheld: bool) -> None:
        self.found, self.withheld = found, withheld
        supplies = () if withheld else found.case.panel.supplies
        #: The maximum voltage of each supply's rating, and how it is marked.
        self.voltages: dict[str, Voltage] = {
            s.id: panel_voltage(found.case, found.scope, found.values, found.after, s) for s in supplies
        }
        self._texts = {s.id: voltage_text(self.voltages[s.id], s) for s in supplies}
        self.rating = None if withheld else self._rated(found.headline)
        self.rungs = () if withheld else tuple(staircase(found))

    def makers(self) -> dict[str, Callable[[Rating], Any]]:
        """Return what makes each field of a rating that explains it."""
        return {
            "limited_by": lambda _: () if self.rating is None else self._limits(self.found.headline),
            "next_limits": lambda _: self._next_limits(),
            "supplies": lambda _: tuple(self._supply(rating) for rating in self.found.supplies),
            "circuits": lambda _: self._circuits(),
            "components": lambda _: _components(self.found, self._circuit_texts),
            "conditions": lambda _: self._conditions(),
            "derivation": lambda rating: self._derivation(rating.circuits),
        }

    @cached_property
    def _circuit_texts(self) -> dict[str, str]:
        """The circuit that each component stands in, in words."""
        texts: dict[str, str] = {}
        last: tuple[Feed, ...] | None = None
        for name, fed in self.found.case.feeds.own.items():
            if fed is not last:  # a chain shares its feeds
                last, text = fed, system_text(fed[0])
            texts[name] = text
        return texts

    def _rated(self, rating: SupplyRating) -> RatedCurrent | None:
        return None if rating.current >= UNLIMITED else RatedCurrent(rating.current, self._texts[rating.supply])

    def _limits(self, rating: SupplyRating) -> tuple[LimitedBy, ...]:
        return tuple(limited_by(self.found.case, held) for held in holds(self.found, rating))

    def _next_limits(self) -> tuple[NextLimit, ...]:
        return tuple(
            NextLimit(
                RatedCurrent(rung.rating.current, self._texts[rung.rating.supply]),
                tuple(limited_by(self.found.case, held) for held in rung.holds),
            )
            for rung in self.rungs
        )

    def _supply(self, rating: SupplyRating) -> SupplyResult:
        rated = None if self.withheld else self._rated(rating)
        held = self._limits(rating) if rated is not None else ()
        return SupplyResult(rating.supply, rated, held, self.found.case.available[rating.supply].as_result())

    def _circuits(self) -> tuple[Circuit, ...]:
        return circuits(self.found, self.withheld, self._circuit_texts)

    def _conditions(self) -> tuple[Condition, ...]:
        if self.withheld:
            return ()
        return tuple(conditions(self.found, self.voltages))

    def _derivation(self, listed: tuple[Circuit, ...]) -> tuple[Step, ...]:
        return derivation(self.found, listed, self.withheld)


def _components(found: Assessment, circuits_in_words: Mapping[str, str]) -> tuple[ComponentValue, ...]:
    """Return what each component is worth, in the order of the document."""
    case, values, scope = found.case, found.values, found.scope
    feeders = case.one_line.feeders
    listed = []
    for component in case.panel.components:
        name, value, exempt = component.id, values.get(component.id), scope.exempt.get(component.id)
        current = after = None
        if value is not None and name in scope.counted and value.basis is not MISSING:
            current, after = value.current, found.after[name].current
        listed.append(
            ComponentValue(
                name,
                component.kind.name,
                "control" if exempt is not None and component.control else "feeder" if name in feeders else "branch",
                circuits_in_words[name],
                current,
                after,
                "exempt" if exempt is not None or value is None else str(value.basis),
                exempt or (value.because if value is not None else ""),
                _sources(component) if component.from_catalogue else {},
            )
        )
    return tuple(listed)


def _sources(component: Component) -> dict[str, str]:
    return dict.fromkeys(sorted(component.from_catalogue), f"catalogue part {component.part}")
