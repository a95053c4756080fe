"""The rating as Markdown, for a script or a record: everything, the derivation as far as it is asked for."""

from collections.abc import Iterable
from collections.abc import Iterator
from collections.abc import Sequence

from sccr.report.calculation.blocks import Facts
from sccr.report.calculation.blocks import Section
from sccr.report.calculation.blocks import Sentences
from sccr.report.calculation.blocks import Table
from sccr.report.calculation.fault_current import fault_current_sections
from sccr.report.cautions import cautions
from sccr.report.markdown import plain as _plain
from sccr.report.markdown import rows as _rows
from sccr.report.markdown import table as _table
from sccr.report.wording import wording
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
    if rating.rating is not None:
        yield from (f"- {name}: {text}" for name, text in wording(rating).rated_current(rating.rating))
    yield from (f"- {sentence}" for _, sentence in adequacy_lines(rating.adequacy))
    yield from _limits(rating)
    yield from _listed(
        "Findings", [f"{f.severity}: {_at(f.component)}{f.message} ({f.clause})" for f in rating.findings]
    )
    yield from _listed("Conditions", [condition.text for condition in rating.conditions])
    yield from _circuits(rating)
    yield from _components(rating)
    yield from _derivation(rating.steps(derivation), derivation_heading(derivation))
    if derivation == FULL:
        yield from _clauses(rating)
    for section in fault_current_sections(rating, None):
        yield from _section(section)
    yield from _listed("Cautions", cautions(rating))
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
    words = wording(rating)
    after = [words.of("after")] if words.of("after") else []
    rows = [
        (c.id, c.kind, c.role, _current(c.value), *([_current(c.after)] if after else []), c.because)
        for c in rating.components
    ]
    columns = ("component", "kind", "role", words.of("value"), *after, "taken from")
    yield from _table("Components", columns, rows)


def _derivation(steps: Sequence[Step], heading: str) -> Iterator[str]:
    rows = [
        (str(s.number), s.clause, s.component or "", s.statement, _current(s.before), _current(s.after)) for s in steps
    ]
    yield from _table(heading, ("no.", "clause", "component", "statement", "before", "after"), rows)


def _clauses(rating: Rating) -> Iterator[str]:
    words = wording(rating)
    yield from _table(
        "Clauses applied",
        ("clause", "title", "in our words", "source", "known"),
        [clause[1:] for clause in words.clauses(rating)],
    )
    yield from _listed("Notes on the method", words.all_of("note"))


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


def _at(component: str | None) -> str:
    return f"{_plain(component)}: " if component else ""


def _current(current: MilliAmperes | None) -> str:
    return "" if current is None else current_text(current)
