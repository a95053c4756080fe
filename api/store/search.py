"""The search for parts, by what a designer knows of the one that is wanted."""

from collections.abc import Iterator
from dataclasses import dataclass

from sqlalchemy import ColumnElement
from sqlalchemy import and_
from sqlalchemy import exists
from sqlalchemy import or_
from sqlalchemy import select

from sccr.panel.component import SupplyType
from sccr.panel.voltage import Form
from sccr.panel.voltage import System
from sccr.panel.voltage import Voltage
from sccr.panel.voltage import wye_line_to_ground

from . import tables

_PARTS = tables.parts.c
_RATINGS = tables.part_ratings.c
_ATTRIBUTES = tables.part_attributes.c

#: The one system that a slash rating serves, and the system that is meant where only a slash voltage is given (R6).
_SYSTEM = {Form.WYE: System.SOLIDLY_GROUNDED_WYE, Form.THREE_WIRE: System.SINGLE_PHASE_THREE_WIRE}

#: What may follow the beginning of a standard's name, each with the character after it: a range that an index finds.
_NEXT = {mark: chr(ord(mark) + 1) for mark in (" ", "-")}


@dataclass(frozen=True, slots=True)
class PartQuery:
    """What is asked of a part; what is None is not asked. Currents in mA.

    voltage, system, supply: a circuit that the part may be used in: a straight rating serves up to its voltage, a slash
    rating only on the grounded system that it names. Without `system`, a slash voltage stands for its own, and at a
    straight one only straight ratings serve. interrupting_ma: at that voltage, if one is given. standard: the name or
    its beginning ("CSA", "IEC 60947"). accessory, mounting: the whole name. text: in the part number or description.
    None of them regards case.
    """

    kind: str | None = None
    poles: int | None = None
    voltage: Voltage | None = None
    system: System | None = None
    ampere_ma_min: int | None = None
    ampere_ma_max: int | None = None
    interrupting_ma: int | None = None
    supply: SupplyType = SupplyType.AC
    standard: str | None = None
    mounting: str | None = None
    accessory: str | None = None
    text: str | None = None


def conditions(query: PartQuery) -> Iterator[ColumnElement[bool]]:
    """Yield the conditions of a query on the rows of `parts`."""
    if query.kind is not None:
        yield _PARTS.kind == query.kind
    if query.poles is not None:
        yield _PARTS.poles == query.poles
    if query.ampere_ma_min is not None:
        yield _PARTS.ampere_ma >= query.ampere_ma_min
    if query.ampere_ma_max is not None:
        yield _PARTS.ampere_ma <= query.ampere_ma_max
    if query.mounting is not None:
        yield _PARTS.mounting == query.mounting.casefold()
    if query.text is not None:
        yield _PARTS.folded.contains(query.text.casefold(), autoescape=True)
    yield from _of_ratings(query)
    yield from _of_attributes(query)


def _of_ratings(query: PartQuery) -> Iterator[ColumnElement[bool]]:
    serves = and_(_RATINGS.supply == query.supply.value, *_serving(query))
    if query.voltage is not None:
        yield exists(select(_RATINGS.row).where(_RATINGS.row == _PARTS.row, _RATINGS.applied, serves))
    if query.interrupting_ma is not None:
        yield _PARTS.interrupting_ma >= query.interrupting_ma  # at any voltage: most parts need no closer look
        enough = _RATINGS.interrupting_ma >= query.interrupting_ma
        yield exists(select(_RATINGS.row).where(_RATINGS.row == _PARTS.row, enough, serves))


def _serving(query: PartQuery) -> Iterator[ColumnElement[bool]]:
    """Yield the condition that a rating serves the circuit asked for, as the method has it (R6)."""
    if query.voltage is None:
        return
    line, system = query.voltage.line, query.system or _SYSTEM.get(query.voltage.form)
    straight = and_(_RATINGS.form == Form.STRAIGHT.value, _RATINGS.line_mv >= line)
    form = next((form for form, wanted in _SYSTEM.items() if wanted is system), None)
    if form is None or query.supply is SupplyType.DC:
        yield straight
        return
    ground = query.voltage.ground or (wye_line_to_ground(line) if form is Form.WYE else line // 2)
    slash = and_(_RATINGS.form == form.value, _RATINGS.line_mv >= line, _RATINGS.ground_mv >= ground)
    yield or_(straight, slash)


def _of_attributes(query: PartQuery) -> Iterator[ColumnElement[bool]]:
    value = _ATTRIBUTES.value
    if query.standard is not None:
        wanted = query.standard.casefold()
        begins = [and_(value >= wanted + mark, value < wanted + after) for mark, after in _NEXT.items()]
        yield _has("standard", or_(value == wanted, *begins))
    if query.accessory is not None:
        yield _has("accessory", value == query.accessory.casefold())


def _has(name: str, condition: ColumnElement[bool]) -> ColumnElement[bool]:
    return _PARTS.row.in_(select(_ATTRIBUTES.row).where(_ATTRIBUTES.name == name, condition))
