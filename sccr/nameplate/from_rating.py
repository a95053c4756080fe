"""From a rating and its panel document to the nameplate, or to the reason why there is none."""

from collections.abc import Iterator
from collections.abc import Mapping
from typing import Any
from typing import Final

from sccr.adequacy import Comparison
from sccr.engine import load_panel
from sccr.nameplate.errors import NameplateMismatch
from sccr.nameplate.errors import NameplateRefused
from sccr.nameplate.fields import Identity
from sccr.nameplate.fields import LargestLoad
from sccr.nameplate.fields import Nameplate
from sccr.nameplate.fields import SupplyFields
from sccr.nameplate.marking import Marking
from sccr.nameplate.marking import marking
from sccr.nameplate.one_line_facts import disconnects
from sccr.nameplate.one_line_facts import largest_load
from sccr.nameplate.one_line_facts import loads_without_current
from sccr.nameplate.one_line_facts import more_than_one_disconnect
from sccr.nameplate.one_line_facts import protection_fields
from sccr.nameplate.one_line_facts import protective_device
from sccr.nameplate.record import RecordReference
from sccr.panel.one_line import OneLine
from sccr.panel.panel import Panel
from sccr.panel.panel import Supply
from sccr.panel.voltage import Form
from sccr.panel.voltage import System
from sccr.panel.voltage import Voltage
from sccr.report.wording import wording
from sccr.result import Rating
from sccr.schema.catalogue import Catalogue
from sccr.units import current_text
from sccr.units import volts_text

#: How many of the findings that withhold a rating the reason names.
_NAMED_FINDINGS: Final = 5
#: How a table says that a star voltage is written with the voltage to neutral first (IEC 60038).
LOWER_FIRST: Final = "lower/higher"


def refusal(rating: Rating) -> str | None:
    """Return why a panel gets no nameplate: its rating is withheld, or below an available fault current.

    References
    ----------
    NEC 409.22(A), 670.5: a panel is not installed where the available fault current exceeds its rating.
    """
    if rating.rating is None:
        return _why_withheld(rating)
    short = [c for c in rating.adequacy.supplies if not c.adequate]
    if not short:
        return None
    return "; ".join(map(_why_short, short))


def _why_short(comparison: Comparison) -> str:
    available = current_text(comparison.current)
    if comparison.margin is not None and comparison.margin < 0:
        rated = current_text(comparison.rating or 0)
        return f"supply {comparison.supply} is rated {rated}, below the available {available}"
    devices = ", ".join(comparison.exceeded)
    return f"supply {comparison.supply}: the available {available} at its X/R is more than is interrupted by {devices}"


def _why_withheld(rating: Rating) -> str:
    errors = [f for f in rating.findings if f.severity == "error"]
    if not errors:
        needless = [f.message for f in rating.findings if f.code == "rating-not-required"]
        return "; ".join(["no rating is marked", *needless])
    named = [f"{f.component}: {f.message}" if f.component else f.message for f in errors[:_NAMED_FINDINGS]]
    more = len(errors) - len(named)
    return "the rating is withheld: " + "; ".join(named) + (f"; and {more} more" if more else "")


def nameplate(
    rating: Rating,
    document: Mapping[str, Any] | str | bytes,
    record: RecordReference | None = None,
    catalogue: Catalogue | None = None,
) -> Nameplate:
    """Return the nameplate of a rated panel.

    Parameters
    ----------
    rating : Rating
        The rating of the document.
    document : mapping, or JSON text
        The panel document (`format` "panel/1").
    record : RecordReference, optional
        The record of the rating, for the code on the plate.
    catalogue : Catalogue, optional
        The one that the rating was made with, if it was made with one.

    Raises
    ------
    NameplateRefused
        Where the rating is withheld or does not cover an available fault current.
    NameplateMismatch
        Where document, catalogue or record are not those of the rating.

    References
    ----------
    NEC 409.110, 409.22(B), 670.3, 670.5 (method, section 9); for other editions the clauses of `markings.csv`.
    """
    reason = refusal(rating)
    if reason is not None:
        raise NameplateRefused(reason)
    return _made(rating, OneLine(_panel_of(rating, document, record, catalogue)), record)


def _made(rating: Rating, one_line: OneLine, record: RecordReference | None) -> Nameplate:
    assert rating.rating is not None  # else it were refused
    supplies = tuple(_supply(one_line, rating, supply) for supply in one_line.panel.supplies)
    unstated = loads_without_current(one_line)
    largest = None if unstated else largest_load(one_line)
    identity = _identity(one_line.panel.identity)
    return Nameplate(
        identity=identity,
        rating=rating.rating,
        supplies=supplies,
        largest_load=largest,
        loads_without_current=unstated,
        more_than_one_disconnect=more_than_one_disconnect(one_line),
        disconnects=disconnects(one_line),
        conditions=rating.conditions,
        missing=tuple(_missing(marking(rating.method.edition), identity, supplies, largest)),
        record=record,
        edition=rating.method.edition,
        cautions=wording(rating).all_of("caution"),
    )


def _panel_of(
    rating: Rating,
    document: Mapping[str, Any] | str | bytes,
    record: RecordReference | None,
    catalogue: Catalogue | None,
) -> Panel:
    if rating.method.catalogue_digest != (None if catalogue is None else catalogue.digest):
        raise NameplateMismatch("the catalogue")
    panel = load_panel(document, catalogue)
    if rating.document_digest != panel.document_digest:
        raise NameplateMismatch("the document")
    if record is not None and record.document_digest != rating.document_digest:
        raise NameplateMismatch("the document of the record")
    return panel


def _identity(stated: Mapping[str, str]) -> Identity:
    return Identity(
        designation=stated["designation"],
        maker=stated.get("builder"),
        title=stated.get("title"),
        revision=stated.get("revision"),
        order=stated.get("order"),
        serial=stated.get("serial"),
        diagram_number=stated.get("drawing"),
        enclosure_type=stated.get("enclosure_type"),
    )


def _supply(one_line: OneLine, rating: Rating, supply: Supply) -> SupplyFields:
    direct = supply.system is System.DC
    found = next(each for each in rating.supplies if each.id == supply.id)
    required = None
    if supply.upstream_protection is not None and _rests_on_upstream(rating, supply):
        required = protection_fields(supply.upstream_protection, in_field=True)
    return SupplyFields(
        id=supply.id,
        voltage=f"{supply.voltage.text} DC" if direct else _voltage(supply.voltage, marking(rating.method.edition)),
        direct=direct,
        phases=None if direct else supply.phases,
        frequency=supply.frequency,
        full_load_current=supply.full_load_current,
        rating=found.rating,
        protective_device=protective_device(one_line, supply),
        required_protection=required,
        available_fault_current=None if found.available is None else found.available.current,
        available_fault_current_date=supply.available_fault_current_date,
    )


def _rests_on_upstream(rating: Rating, supply: Supply) -> bool:
    return any(c.code == "upstream-protection" and c.component == supply.id for c in rating.conditions)


def _voltage(voltage: Voltage, asked: Marking) -> str:
    """Return a voltage as the standard writes it: that of a star the way of NFPA 70, or with the lower one first."""
    if asked.text("voltage") != LOWER_FIRST or voltage.form is not Form.WYE or voltage.ground is None:
        return voltage.text
    return f"{volts_text(voltage.ground)}/{volts_text(voltage.line)} V"


def _missing(
    asked: Marking, identity: Identity, supplies: tuple[SupplyFields, ...], largest: LargestLoad | None
) -> Iterator[str]:
    """Yield the fields that the edition asks for and that are not stated, as pointers into `Nameplate.as_dict()`."""
    for name in ("maker", "diagram_number", "enclosure_type"):
        if asked.asks(name) and getattr(identity, name) is None:
            yield f"/{name}"
    if asked.asks("date_of_manufacture"):  # no document states it
        yield "/date_of_manufacture"
    for number, supply in enumerate(supplies):
        found = (name for name in _missing_of(supply) if asked.asks(name.split("/")[0]))
        yield from (f"/supplies/{number}/{name}" for name in found)
    if asked.asks("largest_load") and largest is None:
        yield "/largest_load"


def _missing_of(supply: SupplyFields) -> Iterator[str]:
    if supply.frequency is None and not supply.direct:
        yield "frequency"
    if supply.full_load_current is None:
        yield "full_load_current"
    if supply.protective_device is None:
        yield "protective_device"
    elif supply.protective_device.ampere_rating is None:
        yield "protective_device/max_ampere_rating"
    if supply.required_protection is not None and supply.required_protection.ampere_rating is None:
        yield "required_upstream_protection/max_ampere_rating"
    if supply.available_fault_current is None:
        yield "available_fault_current"
    if supply.available_fault_current_date is None:
        yield "available_fault_current_date"
