"""What a changed catalogue, table or engine makes of a panel that was rated before: its marking then, and now.

What was is read from the rating as it is stored (JSON), so that one of an older engine is held against one of today.
"""

from collections.abc import Callable
from collections.abc import Iterator
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any
from typing import Final
from typing import TypedDict

from sccr.adequacy import Comparison
from sccr.comparison import compare
from sccr.engine import rate
from sccr.errors import InvalidDocument
from sccr.errors import Problem
from sccr.errors import SccrError
from sccr.result import Rating
from sccr.schema.catalogue import Catalogue
from sccr.units import AMPERE
from sccr.units import MilliAmperes
from sccr.units import amperes
from sccr.units import current_fields

Json = Mapping[str, Any]

#: What stands as the status of a panel that was not rated at all.
REFUSED: Final = "refused"


class Marked(TypedDict):
    """The members of a rating that say what a panel is marked with; the others say why."""

    status: Any
    rating: Any
    adequacy: Any
    conditions: Any


class Outcome(StrEnum):
    """What has become of a panel, the worst first."""

    REFUSED = "refused"
    UNKNOWN = "unknown"
    WITHHELD = "withheld"
    BELOW_AVAILABLE = "below_available"
    LOWERED = "lowered"
    OTHERWISE = "otherwise"
    RAISED = "raised"
    UNCHANGED = "unchanged"

    @property
    def fails(self) -> bool:
        """Whether a panel with this outcome can no longer stand where it is, as far as is known."""
        return self in _FAILING


_FAILING: Final = frozenset({Outcome.REFUSED, Outcome.UNKNOWN, Outcome.WITHHELD, Outcome.BELOW_AVAILABLE})


@dataclass(frozen=True, slots=True)
class Marking:
    """What a panel may be marked with: the members of `rating` in the contract, None where there is none.

    status: "rated", "withheld" or "refused" (the document cannot be rated). adequate: whether it covers every available
    fault current that is documented; None where none is.
    """

    status: str
    rating: Json | None
    adequate: bool | None

    def as_dict(self) -> dict[str, Any]:
        """Return the fields of the contract."""
        rating = None if self.rating is None else dict(self.rating)
        return {"status": self.status, "rating": rating, "adequate": self.adequate}


@dataclass(frozen=True, slots=True)
class SupplyImpact:
    """What is available at a supply [mA rms symmetrical], and whether the marking covered it, and covers it now.

    margin: the rating of now less the available current [mA]; None without a rating.
    """

    supply: str
    available: MilliAmperes
    before: bool | None
    after: bool
    margin: MilliAmperes | None

    def as_dict(self) -> dict[str, Any]:
        """Return the fields of the contract."""
        return {
            "supply": self.supply,
            "available": current_fields(self.available),
            "adequate_before": self.before,
            "adequate_after": self.after,
            "margin_amperes": None if self.margin is None else amperes(self.margin),
        }


@dataclass(frozen=True, slots=True)
class Holding:
    """What holds a panel now, or keeps it from a rating: component, its part of the catalogue, clause and reason."""

    component: str | None
    part: str | None
    clause: str | None
    reason: str

    def as_dict(self) -> dict[str, Any]:
        """Return the fields of the contract."""
        return {"component": self.component, "part": self.part, "clause": self.clause, "reason": self.reason}


@dataclass(frozen=True, slots=True)
class Impact:
    """What a change makes of a panel. why: the reasons in sentences, the deciding one first."""

    outcome: Outcome
    before: Marking
    after: Marking
    supplies: tuple[SupplyImpact, ...] = ()
    limited_by: tuple[Holding, ...] = ()
    why: tuple[str, ...] = ()

    @property
    def margin(self) -> MilliAmperes | None:
        """Return the least margin over the supplies [mA]; None where there is no rating, or nothing to hold it to."""
        margins = [supply.margin for supply in self.supplies if supply.margin is not None]
        return min(margins, default=None)

    def as_dict(self) -> dict[str, Any]:
        """Return the fields of the contract."""
        return {
            "outcome": self.outcome.value,
            "before": self.before.as_dict(),
            "after": self.after.as_dict(),
            "supplies": [supply.as_dict() for supply in self.supplies],
            "limited_by": [holding.as_dict() for holding in self.limited_by],
            "why": list(self.why),
        }


def impact(
    document: Json, result: Json, catalogue: Catalogue | None, whole: Callable[[], Json] | None = None
) -> Impact:
    """Return what a catalogue, and the engine of today, make of a panel.

    Parameters
    ----------
    document : mapping
        The panel document, as it was rated.
    result : mapping
        Its rating as it was given: `Rating.as_dict()` of whatever engine version.
    catalogue : Catalogue or None
        The parts as they are to be.
    whole : callable, optional
        Gives the whole of the rating where `result` has no more than the members of Marked, which is asked for where
        the marking moves: to read all of a rating takes half as long as to rate the panel.
    """
    try:
        rating = rate(document, catalogue)
    except SccrError as error:
        return _refused(document, result, error)
    supplies = tuple(_supplies(result, rating))
    before, after = marking(result), _marking(rating)
    outcome = _outcome(result, rating, supplies)
    if outcome is Outcome.UNCHANGED:
        return Impact(outcome, before, after, supplies)
    return Impact(
        outcome,
        before,
        after,
        supplies,
        tuple(_holdings(document, rating)),
        _why(document, whole() if whole is not None else result, rating),
    )


def unknown(result: Json, reason: str) -> Impact:
    """Return the impact on a panel of which it could not be found out, for that reason."""
    after = Marking(Outcome.UNKNOWN.value, None, None)
    return Impact(Outcome.UNKNOWN, marking(result), after, (), (), (reason,))


def marking(result: Json) -> Marking:
    """Return the marking of a rating as it was given."""
    return Marking(result["status"], result["rating"], result["adequacy"]["adequate"])


def _marking(rating: Rating) -> Marking:
    rated = None if rating.rating is None else rating.rating.as_dict()
    compared = rating.adequacy.supplies
    return Marking(rating.status, rated, all(each.adequate for each in compared) if compared else None)


def _outcome(result: Json, rating: Rating, supplies: tuple[SupplyImpact, ...]) -> Outcome:
    before, after = _current(result["rating"]), None if rating.rating is None else rating.rating.current
    if after is None:
        return Outcome.UNCHANGED if before is None else Outcome.WITHHELD
    if before is None:
        return Outcome.RAISED
    if any(each.before and not each.after for each in supplies):
        return Outcome.BELOW_AVAILABLE
    if after < before:
        return Outcome.LOWERED
    if after > before:  # a higher current at another voltage is not simply more
        return Outcome.RAISED if _voltage(rating) == result["rating"]["voltage"] else Outcome.OTHERWISE
    return Outcome.UNCHANGED if _same_beside(result, rating, supplies) else Outcome.OTHERWISE


def _voltage(rating: Rating) -> str | None:
    return None if rating.rating is None else rating.rating.voltage


def _same_beside(result: Json, rating: Rating, supplies: tuple[SupplyImpact, ...]) -> bool:
    """Whether what stands beside the current is as it was: voltage, what is covered, what must hold in the field."""
    if result["rating"]["voltage"] != _voltage(rating):
        return False
    if any(each.before != each.after for each in supplies):
        return False
    return list(result["conditions"]) == [condition.as_dict() for condition in rating.conditions]


def _why(document: Json, result: Json, rating: Rating) -> tuple[str, ...]:
    """Return why the rating moved. That the catalogue as a whole is another one is known, and no reason."""
    after = rating.as_dict()
    after["method"]["catalogue_digest"] = result["method"]["catalogue_digest"]
    return compare(result, after, document, document).why


def _supplies(result: Json, rating: Rating) -> Iterator[SupplyImpact]:
    then = {each["supply"]: each["adequate"] for each in result["adequacy"]["supplies"]}
    for now in rating.adequacy.supplies:
        yield _supply(now, then.get(now.supply))


def _supply(now: Comparison, before: bool | None) -> SupplyImpact:
    return SupplyImpact(now.supply or "", now.current, before, now.adequate, now.margin)


def _holdings(document: Json, rating: Rating) -> Iterator[Holding]:
    parts = _parts(document)
    if rating.rating is None:
        for finding in rating.findings:
            if finding.severity == "error":
                yield Holding(finding.component, parts.get(finding.component), finding.clause, finding.message)
    for limit in rating.limited_by:
        yield Holding(limit.component, parts.get(limit.component), limit.clause, limit.reason)


def _parts(document: Json) -> dict[str | None, str]:
    """Return the part of the catalogue that each component names, by the ids of the components."""
    named = ((each["id"], each.get("part")) for each in document["components"])
    return {name: part for name, part in named if part is not None}


def _refused(document: Json, result: Json, error: SccrError) -> Impact:
    """Return the impact on a panel that can no longer be rated, by all that is wrong with it."""
    then = result["adequacy"]["supplies"]
    supplies = tuple(
        SupplyImpact(each["supply"], round(each["current_amperes"] * AMPERE), each["adequate"], False, None)
        for each in then
    )
    problems = error.problems if isinstance(error, InvalidDocument) else (Problem("", "unusable", str(error)),)
    holdings = tuple(_wrong(document, problem) for problem in problems)
    after = Marking(REFUSED, None, False if then else None)
    why = tuple(f"{each.component}: {each.reason}" if each.component else each.reason for each in holdings)
    return Impact(Outcome.REFUSED, marking(result), after, supplies, holdings, why)


def _wrong(document: Json, problem: Problem) -> Holding:
    """Return a problem of a document as what it is a problem of.

    Of a part that is not in the catalogue no other is named that may be meant: it was there when the panel was rated.
    """
    owner = _owner(document, problem.pointer)
    part = owner.get("part")
    detail = f"the part {part} is not in the catalogue" if problem.code == "unknown-part" else problem.detail
    return Holding(owner.get("id"), part, None, detail)


def _owner(document: Json, pointer: str) -> Json:
    """Return the component, or the protection upstream of a supply, that a JSON Pointer leads into."""
    steps = pointer.split("/")[1:]
    if len(steps) < 2 or steps[0] not in ("components", "supplies") or not steps[1].isdigit():
        return {}
    found: Json = document[steps[0]][int(steps[1])]
    if steps[0] == "supplies":
        return {"id": found.get("id"), "part": found.get("upstream_protection", {}).get("part")}
    return found


def _current(rating: Json | None) -> MilliAmperes | None:
    return None if rating is None else round(rating["current_amperes"] * AMPERE)
