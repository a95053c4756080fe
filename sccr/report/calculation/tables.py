"""The tables of the report, from the rating."""

from collections.abc import Iterator
from collections.abc import Mapping
from collections.abc import Sequence
from typing import Any
from typing import Final

from sccr.report.calculation.blocks import NOTHING
from sccr.report.calculation.blocks import Column
from sccr.report.calculation.blocks import Table
from sccr.report.diagram.labels import kind_words
from sccr.report.wording import wording
from sccr.result import ComponentValue
from sccr.result import Finding
from sccr.result import Rating
from sccr.units import MilliAmperes
from sccr.units import current_text

_SUPPLY_RATINGS: Final = (Column("supply", 1), Column("rating", 3), Column("held by", 3))
_LIMITS: Final = (Column("held down by", 1.2), Column("clause", 0.8), Column("because", 6))
_FINDINGS: Final = (Column("severity", 0.8), Column("component", 1.1), Column("clause", 0.8), Column("finding", 5.3))
_CLAUSES: Final = (
    Column("clause", 1.4),
    Column("title", 1.7),
    Column("in our words", 4),
    Column("source", 1.6),
    Column("known", 0.9),
)
_DERIVATION: Final = (
    Column("no.", 0.5),
    Column("clause", 0.85),
    Column("component", 1.1),
    Column("statement", 5.1),
    Column("before", 0.8),
    Column("after", 0.8),
)
_STAIRCASE: Final = (
    Column("step", 0.5),
    Column("rating", 1.5),
    Column("then held by", 1.1),
    Column("clause", 0.8),
    Column("because", 4.3),
)
_CIRCUITS: Final = (
    Column("circuit", 1.1),
    Column("type", 0.8),
    Column("voltage", 2),
    Column("rating", 0.8),
    Column("components", 4.3),
)


def supply_ratings_table(rating: Rating) -> Table:
    """Return the rating of each supply and what holds it."""
    rows = (
        (
            supply.id,
            "none needed" if supply.rating is None else supply.rating.text,
            ", ".join(limit.component for limit in supply.limited_by) or NOTHING,
        )
        for supply in rating.supplies
    )
    return Table(_SUPPLY_RATINGS, tuple(rows))


def limits_table(rating: Rating) -> Table:
    """Return what holds the rating down, ties included."""
    return _table(_LIMITS, rating, tuple((limit.component, limit.clause, limit.reason) for limit in rating.limited_by))


def findings_table(rating: Rating, findings: Sequence[Finding]) -> Table:
    """Return findings in their order; errors stand out."""
    rows = tuple((f.severity, f.component or NOTHING, f.clause, f.message) for f in findings)
    return _table(_FINDINGS, rating, rows, frozenset(n for n, f in enumerate(findings) if f.severity == "error"))


def components_table(rating: Rating, document: Mapping[str, Any]) -> Table:
    """Return every component with its value and where it comes from; those that limit or withhold stand out."""
    stated = {component["id"]: component for component in document["components"]}
    credits = bool(wording(rating).of("after"))
    marked = {limit.component for limit in rating.limited_by}
    marked |= {finding.component for finding in rating.findings if finding.component and finding.severity == "error"}
    rows = tuple(
        (
            component.id,
            _kind(component, stated[component.id].get("part")),
            component.role,
            _value(component),
            *([_current(component.after)] if credits else []),
            component.because or NOTHING,
            _stated_in(component, stated[component.id]),
        )
        for component in rating.components
    )
    return Table(_components(rating), rows, frozenset(n for n, c in enumerate(rating.components) if c.id in marked))


def _table(
    columns: Sequence[Column], rating: Rating, rows: tuple[tuple[str, ...], ...], strong: frozenset[int] = frozenset()
) -> Table:
    """Return a table whose column of clauses is as wide as those of the standard are long."""
    wide = wording(rating).clause_width
    return Table(
        tuple(Column(c.heading, c.share * wide if c.heading == "clause" else c.share) for c in columns), rows, strong
    )


def _components(rating: Rating) -> tuple[Column, ...]:
    words = wording(rating)
    return (
        Column("component", 1.15),
        Column("kind", 1.35),
        Column("circuit", 0.75),
        Column(words.of("value"), 0.8),
        *([Column(words.of("after"), 0.85)] if words.of("after") else []),
        Column("taken from", 3.6),
        Column("stated in", 1.3),
    )


def clauses_table(rating: Rating) -> Table:
    """Return the clauses that the derivation cites, where the method lists them with what is known of them."""
    return Table(_CLAUSES, tuple(tuple(clause[1:]) for clause in wording(rating).clauses(rating)))


def _kind(component: ComponentValue, part: str | None) -> str:
    words = kind_words(component.kind)
    return f"{words}, {part}" if part else words


def _value(component: ComponentValue) -> str:
    if component.value is not None:
        return current_text(component.value)
    return "none holds" if component.basis == "missing" else "exempt"


def _stated_in(component: ComponentValue, stated: Mapping[str, Any]) -> str:
    """Return whether the markings of a component stand in the document or, where that is silent, in the catalogue."""
    if not component.sources:
        return "document"
    own = [name.replace("_", " ") for name in stated if name not in _PLACE]
    return f"catalogue; document: {', '.join(own)}" if own else "catalogue"


#: The fields of a component that are not marked on it, and so stand in a document only.
_PLACE: Final = {"id", "kind", "fed_from", "part", "circuit", "position", "exempt", "location", "full_load_current"}


def derivation_table(rating: Rating) -> Table:
    """Return the steps of the derivation."""
    rows = (
        (str(s.number), s.clause, s.component or NOTHING, s.statement, _current(s.before), _current(s.after))
        for s in rating.derivation
    )
    return _table(_DERIVATION, rating, tuple(rows))


def staircase_table(rating: Rating) -> Table:
    """Return the next limits, a row for each component that holds a step."""
    return _table(_STAIRCASE, rating, tuple(_steps(rating)))


def _steps(rating: Rating) -> Iterator[tuple[str, ...]]:
    for number, step in enumerate(rating.next_limits, start=1):
        short = f"{current_text(step.rating.current)}, {step.rating.voltage}"
        rated = step.rating.text if step.rating.designation else short
        for limit in step.limited_by:
            yield str(number), rated, limit.component, limit.clause, limit.reason


def circuits_table(rating: Rating) -> Table:
    """Return the circuits, each with its own rating and components."""
    rows = ((c.id, c.type, c.voltage, _current(c.rating), ", ".join(c.components)) for c in rating.circuits)
    return Table(_CIRCUITS, tuple(rows))


def _current(current: MilliAmperes | None) -> str:
    return NOTHING if current is None else current_text(current)
