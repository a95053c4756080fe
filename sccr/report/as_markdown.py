"""The rating as Markdown, for a script or a record: everything, the derivation as far as it is asked for."""

from collections.abc import Collection
from collections.abc import Iterable
from collections.abc import Iterator
from collections.abc import Sequence

from sccr.report.calculation.blocks import Facts
from sccr.report.calculation.blocks import Section
from sccr.report.calculation.blocks import Sentences
from sccr.report.calculation.blocks import Table
from sccr.report.calculation.fault_current import fault_current_sections
from sccr.report.cautions import CAUTIONS
from sccr.report.words import adequacy_lines
from sccr.report.words import derivation_heading
from sccr.report.words import headline
from sccr.report.words import method_line
from sccr.report.words import title
from sccr.result import FULL
from sccr.result import LimitedBy
from sccr.result import Rating
from sccr.result import Step
from sccr.units import MilliAmperes
from sccr.units import current_text


def as_markdown(rating: Rating, derivation: str = FULL) -> str:
    """Return the rating as Markdown (CommonMark with tables); derivation: full, short or none."""
    return "\n".join(_lines(rating, derivation)) + "\n"


def _lines(rating: Rating, derivation: str) -> Iterator[str]:
    yield f"# {_plain(title(rating))}"
    yield ""
    yield f"**{rating.status.upper()}: {headline(rating)}**"
    yield ""
    yield from (f"- {sentence}" for _, sentence in adequacy_lines(rating.adequacy))
    yield from _limits(rating)
    yield from _listed(
        "Findings", [f"{f.severity}: {_at(f.component)}{f.message} ({f.clause})" for f in rating.findings]
    )
    yield from _listed("Conditions", [condition.text for condition in rating.conditions])
    yield from _circuits(rating)
    yield from _components(rating)
    yield from _derivation(rating.steps(derivation), derivation_heading(derivation))
    for section in fault_current_sections(rating, None):
        yield from _section(section)
    yield from _listed("Cautions", CAUTIONS)
    yield ""
    yield f"_{method_line(rating)}_"


def _limits(rating: Rating) -> Iterator[str]:
    yield from _listed("Limited by", [_limit(limit) for limit in rating.limited_by])
    if rating.next_limits:
        rows = [
            (step.rating.text, ", ".join(limit.component for limit in step.limited_by)) for step in rating.next_limits
        ]
        yield from _table("Next limits", ("once those above are lifted", "held by"), rows)


def _limit(limit: LimitedBy) -> str:
    return f"**{_plain(limit.component)}** ({limit.clause}): {_plain(limit.reason)}"


def _circuits(rating: Rating) -> Iterator[str]:
    rows = [(c.id, c.type, c.voltage, _current(c.rating), ", ".join(c.components)) for c in rating.circuits]
    yield from _table("Circuits", ("circuit", "type", "voltage", "rating", "components"), rows)


def _components(rating: Rating) -> Iterator[str]:
    rows = [(c.id, c.kind, c.role, _current(c.value), _current(c.after), c.because) for c in rating.components]
    yield from _table("Components", ("component", "kind", "role", "value", "after credit", "taken from"), rows)


def _derivation(steps: Sequence[Step], heading: str) -> Iterator[str]:
    rows = [
        (str(s.number), s.clause, s.component or "", s.statement, _current(s.before), _current(s.after)) for s in steps
    ]
    yield from _table(heading, ("no.", "clause", "component", "statement", "before", "after"), rows)


def _section(section: Section) -> Iterator[str]:
    """Yield a section of the calculation report; what is signed is signed on paper."""
    yield from ("", f"## {_plain(section.heading)}")
    for block in section.blocks:
        if isinstance(block, Facts):
            yield from ("", *(f"- {_plain(name)}: {_plain(stated)}" for name, stated in block.rows))
        elif isinstance(block, Sentences):
            yield from ("", *(f"{'- ' if block.listed else ''}{_plain(text)}" for text in block.texts))
        elif isinstance(block, Table):
            yield from ("", *_rows(tuple(column.heading for column in block.columns), block.rows, block.strong))


def _listed(heading: str, items: Iterable[str]) -> Iterator[str]:
    found = list(items)
    if found:
        yield from ("", f"## {heading}", "")
        yield from (f"- {item}" for item in found)


def _table(heading: str, columns: tuple[str, ...], rows: Sequence[tuple[str, ...]]) -> Iterator[str]:
    if rows:
        yield from ("", f"## {heading}", "")
        yield from _rows(columns, rows)


def _rows(columns: tuple[str, ...], rows: Sequence[tuple[str, ...]], strong: Collection[int] = ()) -> Iterator[str]:
    yield "| " + " | ".join(columns) + " |"
    yield "|" + " --- |" * len(columns)
    for number, row in enumerate(rows):
        mark = "**" if number in strong else ""
        yield "| " + " | ".join(f"{mark}{_plain(cell)}{mark}" for cell in row) + " |"


def _at(component: str | None) -> str:
    return f"{_plain(component)}: " if component else ""


def _current(current: MilliAmperes | None) -> str:
    return "" if current is None else current_text(current)


def _plain(text: str) -> str:
    """Return text that Markdown shows as it is: an id may hold any printable character."""
    return "".join(f"\\{c}" if c in "\\`*_[]<>|#" else c for c in text)
