"""The ratings of one panel by several editions, and what they make of it side by side, as frozen records."""

from collections.abc import Collection
from collections.abc import Iterator
from collections.abc import Mapping
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from typing import Final

from sccr.result import FULL
from sccr.result import Finding
from sccr.result import Rating
from sccr.units import MilliAmperes
from sccr.units import current_fields

FORMAT: Final = "ratings/1"

#: What begins, in the statement of a step, the sentence of a rule set's table of differences, and what may follow it.
_OTHERS_ARE_HELD_TO: Final = "UL 508A"
_OTHERWISE: Final = f"; {_OTHERS_ARE_HELD_TO}: "
_FROM_MEMORY: Final = " [clause from memory]"


@dataclass(frozen=True, slots=True)
class EditionRow:
    """What one edition makes of the panel: the rating as it is marked, what holds it, what withholds it."""

    edition: str
    status: str
    rating: str | None
    limited_by: tuple[str, ...]
    errors: tuple[Finding, ...]
    adequate: bool | None

    def as_dict(self) -> dict[str, Any]:
        """Return the fields of the contract."""
        return {
            "edition": self.edition,
            "status": self.status,
            "rating": self.rating,
            "limited_by": list(self.limited_by),
            "errors": [error.as_dict() for error in self.errors],
            "adequate": self.adequate,
        }


@dataclass(frozen=True, slots=True)
class EditionValue:
    """What one edition makes of a component: its value after credit [mA rms symmetrical], None where it has none."""

    current: MilliAmperes | None
    basis: str
    because: str

    @property
    def exempt(self) -> bool:
        """Whether the edition asks nothing of the component."""
        return self.basis == "exempt"

    @property
    def told(self) -> tuple[MilliAmperes | None, bool]:
        """What is compared between editions: the value, and whether none is asked for."""
        return self.current, self.exempt

    def as_dict(self) -> dict[str, Any]:
        """Return the fields of the contract."""
        told = {"current": None, "current_amperes": None} if self.current is None else current_fields(self.current)
        return {**told, "basis": self.basis, "because": self.because, "exempt": self.exempt}


@dataclass(frozen=True, slots=True)
class ComponentRow:
    """A component with its value by each edition, and whether those differ (reasons alone are no difference)."""

    id: str
    kind: str
    values: Mapping[str, EditionValue]

    @property
    def differs(self) -> bool:
        """Whether an edition gives another value than another, or asks nothing where another asks."""
        return len({value.told for value in self.values.values()}) > 1

    def differs_from(self, edition: str, others: Collection[str]) -> bool:
        """Whether an edition gives another value than one of some others does; of none, it does."""
        own = self.values[edition].told
        return not others or any(self.values[other].told != own for other in others)

    def as_dict(self) -> dict[str, Any]:
        """Return the fields of the contract."""
        values = {edition: value.as_dict() for edition, value in self.values.items()}
        return {"id": self.id, "kind": self.kind, "values": values, "differs": self.differs}


@dataclass(frozen=True, slots=True)
class Difference:
    """Where a rule of an edition decides a component otherwise than UL 508A does, and how UL 508A decides."""

    component: str
    edition: str
    clause: str
    difference: str

    def as_dict(self) -> dict[str, str]:
        """Return the fields of the contract."""
        return {
            "component": self.component,
            "edition": self.edition,
            "clause": self.clause,
            "difference": self.difference,
        }


@dataclass(frozen=True, slots=True)
class SideBySide:
    """The editions in the order asked, the panel and each component by each of them, and why those differ that do."""

    editions: tuple[str, ...]
    panel: tuple[EditionRow, ...]
    components: tuple[ComponentRow, ...]
    why: tuple[Difference, ...]

    def as_dict(self) -> dict[str, Any]:
        """Return the fields of the contract."""
        return {
            "editions": list(self.editions),
            "panel": [row.as_dict() for row in self.panel],
            "components": [row.as_dict() for row in self.components],
            "why": [difference.as_dict() for difference in self.why],
        }


@dataclass(frozen=True, slots=True)
class EditionRatings:
    """The ratings of one panel by several editions, in the order asked."""

    ratings: tuple[Rating, ...]

    def side_by_side(self) -> SideBySide:
        """Return what the editions make of the panel and of each component, beside one another."""
        rows = tuple(_component_rows(self.ratings))
        return SideBySide(
            tuple(rating.method.edition for rating in self.ratings),
            tuple(_edition_row(rating) for rating in self.ratings),
            rows,
            tuple(_why(self.ratings, rows)),
        )

    def as_dict(self, derivation: str = FULL) -> dict[str, Any]:
        """Return the ratings as the contract has them, ready for JSON; derivation: full, short or none, of each."""
        first = self.ratings[0]
        return {
            "format": FORMAT,
            "panel": dict(first.panel),
            "document_digest": first.document_digest,
            "ratings": [rating.as_dict(derivation) for rating in self.ratings],
            "side_by_side": self.side_by_side().as_dict(),
        }


def _edition_row(rating: Rating) -> EditionRow:
    return EditionRow(
        rating.method.edition,
        rating.status,
        None if rating.rating is None else rating.rating.text,
        tuple(limit.component for limit in rating.limited_by),
        tuple(finding for finding in rating.findings if finding.severity == "error"),
        rating.adequacy.as_dict()["adequate"],
    )


def _component_rows(ratings: Sequence[Rating]) -> Iterator[ComponentRow]:
    """Yield the components in the order of the document, which is the same in each rating."""
    for told in zip(*(rating.components for rating in ratings), strict=True):
        values = {
            rating.method.edition: EditionValue(value.after, value.basis, value.because)
            for rating, value in zip(ratings, told, strict=True)
        }
        yield ComponentRow(told[0].id, told[0].kind, values)


def _why(ratings: Sequence[Rating], rows: Sequence[ComponentRow]) -> Iterator[Difference]:
    """Yield, edition by edition, what the tables of differences say of the components that differ, once each.

    Where UL 508A is among the editions, only of what it gives another value.
    """
    by_ul = [rating.method.edition for rating in ratings if rating.method.edition.startswith(_OTHERS_ARE_HELD_TO)]
    for rating in ratings:
        edition = rating.method.edition
        differing = {row.id for row in rows if row.differs and row.differs_from(edition, by_ul)}
        found = (
            Difference(step.component, edition, step.clause, sentence)
            for step in rating.derivation
            if step.component in differing and (sentence := _sentence(step.statement))
        )
        yield from dict.fromkeys(found)


def _sentence(statement: str) -> str:
    """Return how UL 508A decides, as the statement of a step tells it; empty where it says nothing of that."""
    _, found, rest = statement.rpartition(_OTHERWISE)
    return rest.removesuffix(_FROM_MEMORY) if found else ""
