"""From a rating and its document to the report: every section in its order."""

from collections.abc import Iterator
from collections.abc import Mapping
from collections.abc import Sequence
from hashlib import sha256
from typing import Any
from typing import Final
from typing import Protocol

import rfc8785

from sccr.report.calculation.blocks import Block
from sccr.report.calculation.blocks import Diagram
from sccr.report.calculation.blocks import Facts
from sccr.report.calculation.blocks import Report
from sccr.report.calculation.blocks import Section
from sccr.report.calculation.blocks import Sentences
from sccr.report.calculation.blocks import Signatures
from sccr.report.calculation.blocks import Table
from sccr.report.calculation.fault_current import fault_current_sections
from sccr.report.calculation.job import job_facts
from sccr.report.calculation.job import supplies_table
from sccr.report.calculation.tables import circuits_table
from sccr.report.calculation.tables import clauses_table
from sccr.report.calculation.tables import components_table
from sccr.report.calculation.tables import derivation_table
from sccr.report.calculation.tables import findings_table
from sccr.report.calculation.tables import limits_table
from sccr.report.calculation.tables import staircase_table
from sccr.report.calculation.tables import supply_ratings_table
from sccr.report.cautions import cautions
from sccr.report.diagram.drawing import legend
from sccr.report.wording import wording
from sccr.report.words import adequacy_lines
from sccr.report.words import headline
from sccr.report.words import title
from sccr.result import Rating

_BOLD: Final = "In bold: what holds the rating down, or withholds it."
SIGNERS: Final = ("Prepared by", "Checked by", "Accepted by")


class RecordReference(Protocol):
    """What the report says of the record in which a rating is kept."""

    @property
    def id(self) -> str:
        """Return the id of the record."""

    @property
    def asked_by(self) -> str:
        """Return who asked for the rating."""

    @property
    def asked_at(self) -> str:
        """Return when, as ISO 8601 has it."""


def contents(rating: Rating, document: Mapping[str, Any], record: RecordReference | None) -> Report:
    """Return the report of a rated document.

    Raises
    ------
    ValueError
        Where the rating is of another document: its digest (SHA-256 of RFC 8785) is not that of `document`.
    """
    if sha256(rfc8785.dumps(dict(document))).hexdigest() != rating.document_digest:
        raise ValueError("the rating is of another document: the digests differ")
    return Report(
        heading=wording(rating).of("heading"),
        subject=title(rating),
        designation=rating.panel.get("designation", ""),
        status=rating.status.upper(),
        headline=headline(rating),
        rated=rating.rating is not None,
        digest=rating.document_digest,
        sections=tuple(section for section in _sections(rating, document, record) if section.blocks),
    )


def _sections(rating: Rating, document: Mapping[str, Any], record: RecordReference | None) -> Iterator[Section]:
    yield Section("Job", (job_facts(rating), supplies_table(document)))
    yield Section("Result", tuple(_result(rating)))
    yield Section("One-line diagram", (Diagram(legend(rating)),))
    yield Section("Components", (Sentences((_BOLD,)), components_table(rating, document)))
    yield Section("Derivation", (derivation_table(rating),))
    yield Section("What the rating becomes as each limit is lifted", _unless_empty(staircase_table(rating)))
    yield Section("Circuits", _unless_empty(circuits_table(rating)))
    yield Section("Conditions of the rating", _listed([condition.text for condition in rating.conditions]))
    yield Section("Findings", _unless_empty(findings_table(rating, rating.findings)))
    yield Section("Method", (_method(rating), *_record(record), *_listed(wording(rating).all_of("note"))))
    yield Section("Clauses applied", _unless_empty(clauses_table(rating)))
    yield Section("Cautions", _listed(cautions(rating)))
    yield Section("Signatures", (Signatures(SIGNERS),))
    yield from fault_current_sections(rating, None if record is None else record.asked_at)


def _result(rating: Rating) -> Iterator[Block]:
    if rating.rating is not None and (named := wording(rating).rated_current(rating.rating)):
        yield Facts(named)
    yield Sentences(tuple(f"{_first_upper(sentence)}." for _, sentence in adequacy_lines(rating.adequacy)))
    if len(rating.supplies) > 1 and rating.rating is not None:
        yield supply_ratings_table(rating)
    yield from _unless_empty(limits_table(rating))
    yield from _unless_empty(findings_table(rating, [f for f in rating.findings if f.severity == "error"]))


def _first_upper(sentence: str) -> str:
    return sentence[:1].upper() + sentence[1:]


def _unless_empty(table: Table) -> tuple[Block, ...]:
    return (table,) if table.rows else ()


def _listed(texts: Sequence[str]) -> tuple[Block, ...]:
    return (Sentences(tuple(texts), listed=True),) if texts else ()


def _method(rating: Rating) -> Facts:
    method = rating.method
    changed = [_option(name, on) for name, on in rating.options.items() if on != _DEFAULTS.get(name)]
    return Facts(
        (
            ("Standard", method.standard),
            ("Edition", method.edition),
            ("Options not at their default", ", ".join(changed) or "none"),
            ("Engine", method.engine_version),
            ("Digest of the tables", method.tables_digest),
            ("Digest of the catalogue", method.catalogue_digest or "no catalogue was used"),
            ("Digest of the document", rating.document_digest),
        )
    )


#: The options of a panel document (`panel/1`) where it is silent.
_DEFAULTS: Final[Mapping[str, bool | int]] = {
    "credit_feeder_components": False,
    "transformer_impedance_credit": True,
    "service_breaking_capacity": False,
    "skilled_persons_only": False,
    "coordination": 1,
}


def _option(name: str, stated: bool | int) -> str:
    words = name.replace("_", " ")
    return words if isinstance(stated, bool) else f"{words} {stated}"


def _record(record: RecordReference | None) -> tuple[Facts, ...]:
    if record is None:
        return ()
    return (Facts((("Record", record.id), ("Asked for by", record.asked_by), ("Asked for at", record.asked_at))),)
