"""The rules in their order: what counts, what it is worth, what transformers carry, and the lowest. No wording."""

from dataclasses import dataclass
from decimal import Decimal

from sccr.iec61439.rules.iec60909_0_transformers import TransformerResult
from sccr.iec61439.rules.iec60909_0_transformers import transformer_results
from sccr.iec61439.rules.iec61439_1_5_3_panel_rating import SupplyRating
from sccr.iec61439.rules.iec61439_1_5_3_panel_rating import lowest
from sccr.iec61439.rules.iec61439_1_5_3_panel_rating import supply_ratings
from sccr.iec61439.rules.iec61439_1_9_3_2_component_values import breaking_values
from sccr.iec61439.rules.iec61439_1_9_3_2_component_values import component_values
from sccr.iec61439.rules.iec61439_1_9_3_2_component_values import reference_duration
from sccr.iec61439.rules.iec61439_1_10_11_1_scope import Scope
from sccr.iec61439.rules.iec61439_1_10_11_1_scope import scope
from sccr.iec61439.subject import Subject
from sccr.iec61439.value import Value


@dataclass(frozen=True, slots=True)
class Assessment:
    """What the rules conclude for a panel, each conclusion with what it rests on.

    breaking: what each protective device breaks, upstream protection included, whether it counts or not.
    reference: the duration [s] of the short-time current, None where none counts ahead of all protection.
    headline: the lowest of the supplies, its limits those of every supply that ties for it.
    """

    case: Subject
    scope: Scope
    breaking: dict[str, Value]
    values: dict[str, Value]
    transformers: dict[str, TransformerResult]
    reference: Decimal | None
    supplies: tuple[SupplyRating, ...]
    headline: SupplyRating

    @property
    def short_time(self) -> bool:
        """Whether a short-time current counts ahead of every protective device, so that the rating is an Icw (P2)."""
        return self.reference is not None

    def value(self, name: str) -> Value:
        """Return what a component that counts, or a protective device, is worth."""
        found = self.values.get(name)
        return self.breaking[name] if found is None else found


def assess(case: Subject, lifted: frozenset[str] = frozenset()) -> Assessment:
    """Return what the rules conclude for a panel, with the parts in `lifted` out of the way."""
    counted = scope(case)
    return assess_counted(case, counted, lifted)


def assess_counted(case: Subject, counted: Scope, lifted: frozenset[str]) -> Assessment:
    """Return the same, where it is known what counts."""
    breaking = breaking_values(case, lifted)
    values = component_values(case, counted, breaking, lifted)
    transformers = transformer_results(case, counted, values)
    ratings = supply_ratings(case, counted, values, breaking, transformers)
    return Assessment(
        case=case,
        scope=counted,
        breaking=breaking,
        values=values,
        transformers=transformers,
        reference=reference_duration(case, counted, breaking),
        supplies=ratings,
        headline=lowest(ratings),
    )
