"""What the service answers, as types; a member that a later version adds is there, though not declared here."""

from dataclasses import dataclass
from typing import Any
from typing import Generic
from typing import NotRequired
from typing import TypedDict
from typing import TypeVar

Value = TypeVar("Value")

#: A panel document, a part or a rating, as the contract has it.
Document = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Tagged(Generic[Value]):
    """Something that can change, and the ETag of the state that was answered: what `if_match` asks for."""

    value: Value
    etag: str


@dataclass(frozen=True, slots=True)
class File:
    """A nameplate, a report or a table: its bytes, their media type, and the name that the service gives it."""

    content: bytes
    media_type: str
    name: str | None


class RecordSummary(TypedDict):
    """A record as lists show it. Currents are in amperes, rms symmetrical; times are UTC."""

    id: str
    digest: str
    status: str
    current_amperes: float | None
    document_digest: str
    engine_version: str
    edition: str
    tables_digest: str
    catalogue_digest: str | None
    catalogue_version: int | None
    asked_by: str
    asked_at: str
    order: str | None
    designation: str | None
    revision: int | None


class Record(RecordSummary):
    """A rating that is kept: the document, and the result as it was given."""

    document: Document
    result: Document


class RevisionSummary(TypedDict):
    """A revision of a panel as lists show it."""

    order: str
    designation: str
    revision: int
    record: str
    status: str
    current_amperes: float | None
    document_digest: str
    catalogue_version: int | None
    created_at: str
    created_by: str
    shipped_at: str | None


class Revision(RevisionSummary):
    """A revision of a panel: the document, and its rating."""

    document: Document
    result: Document


class OrderSummary(TypedDict):
    """An order, and how many panels it has."""

    order: str
    panels: int
    created_at: str
    updated_at: str


class CatalogueVersion(TypedDict):
    """A version of the catalogue, and how many parts it has."""

    number: int
    digest: str
    parts: int
    created_at: str
    created_by: str
    note: str | None


class ImportReport(TypedDict):
    """What an import did, or would do; `problems` names every bad row by line and column."""

    dry_run: bool
    valid: bool
    rows: int
    catalogue_version: int | None
    problems: list[dict[str, Any]]


class Batch(TypedDict):
    """A batch: its state, how many of its lines are done, and how many of those could not be rated."""

    id: str
    state: str
    total: int | None
    done: int
    failed: int
    record: bool
    catalogue_version: int | None
    created_at: str
    created_by: str
    ended_at: str | None
    reason: str | None
    links: dict[str, str]


class Webhook(TypedDict):
    """Where somebody is told of events."""

    id: str
    url: str
    events: list[str]
    created_at: str
    created_by: str


class NewWebhook(Webhook):
    """A webhook just made, with its secret: it is told once."""

    secret: str


class Delivery(TypedDict):
    """A message to a webhook, and what became of it."""

    id: str
    webhook: str
    event_id: str
    event: str
    payload: str
    state: str
    attempts: int
    created_at: str
    next_at: str
    last_status: int | None
    last_error: str | None


class FaultCurrent(TypedDict):
    """Fault currents from the utility to the supply terminals. Currents are objects: to read, and in amperes.

    available_fault_current: what ratings are held against, None where a finding of severity error stands against it;
    document: the dated record to be filed, None likewise.
    """

    available_fault_current: dict[str, Any] | None
    fault: str | None
    x_over_r: float | None
    minimum_fault_current: dict[str, Any] | None
    voltage: str
    text: str
    title: str | None
    governing_state: str
    nodes: list[dict[str, Any]]
    states: list[dict[str, Any]]
    findings: list[dict[str, Any]]
    derivation: list[dict[str, Any]]
    method: dict[str, Any]
    document_digest: str
    document: Document | None


class Selection(TypedDict):
    """The devices that suit a circuit, best first, each with why; the near misses with the reason against each."""

    format: str
    designation: str | None
    status: str
    requirement: dict[str, Any]
    suitable: list[dict[str, Any]]
    near_misses: list[dict[str, Any]]
    counts: dict[str, int]
    findings: list[dict[str, Any]]
    limit: int
    catalogue_version: int | None
    method: dict[str, Any]


class UpgradePlan(TypedDict):
    """The way up to one target: the best plan and the next best, the proof or the gap, or what blocks it."""

    target: dict[str, Any]
    objective: str
    best: dict[str, Any] | None
    alternatives: list[dict[str, Any]]
    proved_optimal: bool
    lower_bound: str | None
    gap: str | None
    blocked: list[dict[str, str]]


class UpgradePlans(TypedDict):
    """The rating as it is, and a plan for the target or for each step of the staircase."""

    format: str
    rating: dict[str, Any] | None
    plans: list[UpgradePlan]
    seconds: float
    catalogue_version: int | None
    method: dict[str, Any]
    document_digest: str


class Impact(TypedDict):
    """A stored panel that a change changes: its marking before and after, what is available, what holds it, and why."""

    order: str
    designation: str
    revision: int
    record: str
    shipped_at: str | None
    changed_parts: list[str]
    outcome: str
    before: dict[str, Any]
    after: dict[str, Any]
    supplies: list[dict[str, Any]]
    limited_by: list[dict[str, Any]]
    why: list[str]


class ImpactRun(TypedDict):
    """A run over the stored panels: what it is about, and how many it has found of each outcome.

    One that was answered at once has `impacts`, the worst first; the others have the members from `id` on.
    """

    format: str
    scope: str
    catalogue_version: int | None
    catalogue_digest: str | None
    parts_changed: int
    parts_removed: int
    engine_version: str
    engine_changed: bool
    counts: dict[str, int]
    impacts: NotRequired[list[Impact]]
    id: NotRequired[str]
    state: NotRequired[str]
    total: NotRequired[int | None]
    done: NotRequired[int]
    failed: NotRequired[int]
    created_at: NotRequired[str]
    created_by: NotRequired[str]
    ended_at: NotRequired[str | None]
    reason: NotRequired[str | None]
    links: NotRequired[dict[str, str]]
