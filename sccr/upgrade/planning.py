"""From a panel, a target and a catalogue to the plan: solve for each shape, rate what comes out, keep the least."""

from collections.abc import Iterable
from collections.abc import Mapping
from collections.abc import Sequence
from time import monotonic
from typing import Any

from sccr.editions import DEFAULT_EDITION
from sccr.engine import rate_panel
from sccr.errors import InvalidDocument
from sccr.errors import Problem
from sccr.fault_current.at_supply import at_supply
from sccr.panel.panel import Panel
from sccr.schema.catalogue import Catalogue
from sccr.schema.catalogue import Part
from sccr.schema.load import load_panel
from sccr.ul508a.subject import subject
from sccr.units import MilliAmperes
from sccr.upgrade.attempt import Attempt
from sccr.upgrade.attempt import Question
from sccr.upgrade.candidates import OBJECTIVES
from sccr.upgrade.methods import method_of
from sccr.upgrade.plan import Plan
from sccr.upgrade.plan import UpgradePlan

LEVELS = tuple(level * 1_000_000 for level in (22, 35, 65, 100))


def plan(
    document: Mapping[str, Any],
    catalogue: Catalogue,
    target: MilliAmperes | None = None,
    *,
    objective: str = "price",
    time_limit: float = 10.0,
    alternatives: int = 2,
) -> UpgradePlan:
    """Return the least change of parts that lifts a panel to a target, proved by re-rating by its document's edition.

    Parameters
    ----------
    document : mapping, a panel document
    catalogue : Catalogue
        Parts to choose from; by price only those that state one.
    target : int, optional
        The rating wanted [mA]; without one the document's target, else its highest available fault current. Where it
        covers the available current, the devices must cover that at its X/R, too.
    objective : {"price", "changes", "labour"}
        What is to be least; between plans of equal cost, the parts that are not on hand (of each, `stock` are).
    time_limit : float
        Seconds; when they are up the answer carries the bound that is proved.
    alternatives : int
        How many next best plans are wanted, none of which is a better one with more changes.

    Raises
    ------
    ValueError
        For an objective that there is not, without a target, or for prices that cannot be added exactly.
    InvalidDocument
    """
    if objective not in OBJECTIVES:
        raise ValueError(f"objective {objective!r} is none of {', '.join(OBJECTIVES)}")
    until, panel = monotonic() + time_limit, _of_one_edition(load_panel(document, catalogue, DEFAULT_EDITION))
    parts, method = _of_each_kind(catalogue), method_of(panel.edition)
    question = Question(catalogue, parts, objective, target or _target(panel), until, method)
    shapes = method.shapes(document, subject(panel), parts)
    tries = sorted((Attempt(question, shape) for shape in shapes), key=lambda t: t.least)
    return _answer(question, tries, alternatives + 1)


def _of_one_edition(panel: Panel) -> Panel:
    """Return a panel that asks for one edition. Raises InvalidDocument for one that asks for several."""
    if panel.editions:
        told = "asks for several editions, and a plan is made by the rules of one; write edition in its place"
        raise InvalidDocument([Problem("/editions", "several-editions", told)])
    return panel


def _of_each_kind(catalogue: Catalogue) -> dict[str, list[Part]]:
    parts: dict[str, list[Part]] = {}
    for part in catalogue.parts.values():
        parts.setdefault(part.kind.name, []).append(part)
    return parts


def _answer(question: Question, tries: Sequence[Attempt], wanted: int) -> UpgradePlan:
    """Return the least plan over all shapes, with its proof; where there is none, what blocks the target."""
    found: list[Plan] = []
    while len(found) < wanted and (owner := _next(tries, found)) is not None:
        assert owner.pending is not None
        found.append(owner.pending)
        if not owner.pending.changes:
            break  # nothing need be changed: all else is more
    bound = min((t.bound for t in tries if not t.proved), default=None)
    if not found:
        blocks = [several for t in tries if bound is None and (several := tuple(t.blocks()))]
        blocked = min(blocks, key=len, default=())
        return UpgradePlan(question.target, question.objective, None, (), bound is None, bound, blocked)
    best, others = found[0], tuple(found[1:])
    proved = bound is None or bound >= best.cost
    least = best.cost if proved or bound is None else bound
    return UpgradePlan(question.target, question.objective, best, others, proved, least, ())


def _next(tries: Sequence[Attempt], found: Sequence[Plan]) -> Attempt | None:
    """Return the shape with the next best plan, None where no shape has one more in the time."""
    best: Attempt | None = None
    for attempt in tries:
        attempt.advance(found, None if best is None or best.pending is None else best.pending.cost)
        if attempt.pending is not None and (best is None or attempt.order < best.order):
            best = attempt
    return best


def staircase(
    document: Mapping[str, Any], catalogue: Catalogue, levels: Iterable[MilliAmperes] = LEVELS, **options: Any
) -> tuple[UpgradePlan, ...]:
    """Return the plan for each level [mA]: what 22, 35, 65 and 100 kA would cost. options: those of `plan`."""
    return tuple(plan(document, catalogue, level, **{"alternatives": 0, **options}) for level in levels)


def _target(panel: Panel) -> MilliAmperes:
    if panel.target is not None:
        return panel.target
    available = [at.current for at in map(at_supply, panel.supplies) if at.current is not None]
    # by its own method the edition may compute more
    available += [supply.available.current for supply in rate_panel(panel).supplies if supply.available is not None]
    if not available:
        raise ValueError("name a target: the document states neither one nor an available fault current")
    return max(available)
