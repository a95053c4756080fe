"""What is taken out of a part so that the database can search for it."""

from collections.abc import Iterator
from typing import Any

from sccr.panel.component import SupplyType
from sccr.panel.voltage import Voltage
from sccr.schema.catalogue import Part

#: supply, form, line-to-line [mV], to ground [mV], whether it is applied at it, interrupting rating at it [mA].
_Rating = tuple[str, str, int, int | None, bool, int | None]


def part_columns(part: Part) -> tuple[Any, ...]:
    """Return kind, poles, ampere rating [mA], mounting, highest interrupting rating [mA], and the text to search in."""
    fields = part.fields
    mounting = fields.get("mounting")
    text = part.part if part.description is None else f"{part.part}\n{part.description}"
    return (
        part.kind.name,
        fields.get("poles"),
        fields.get("ampere_rating"),
        None if mounting is None else mounting.casefold(),
        max((rating.current for rating in fields.get("interrupting_ratings", ())), default=None),
        text.casefold(),
    )


def rating_rows(part: Part) -> list[tuple[Any, ...]]:
    """Return the voltages at which the part may be applied or interrupts, each with its number."""
    return [(number, *rating) for number, rating in enumerate(dict.fromkeys(_ratings(part)))]


def attribute_rows(part: Part) -> list[tuple[str, str]]:
    """Return the standards and accessories of a part, without regard to case."""
    pairs = [("standard", each) for each in part.fields.get("standards", ())]
    pairs += [("accessory", each) for each in part.fields.get("accessories", ())]
    return list(dict.fromkeys((name, value.casefold()) for name, value in pairs))


def _ratings(part: Part) -> Iterator[_Rating]:
    """Yield a row for each: what is applied at is the voltage marked, or without one every voltage of a rating."""
    fields = part.fields
    marked = fields.get("voltage_rating")
    if marked is not None:
        for supply in SupplyType:  # the marking does not say which
            yield _row(marked, supply, True, None)
    for interrupting in fields.get("interrupting_ratings", ()):
        yield _row(interrupting.voltage, interrupting.supply, marked is None, interrupting.current)
    if marked is None:
        for rating in fields.get("short_circuit_ratings", ()):
            yield _row(rating.voltage, rating.supply, True, None)
        transformer = fields.get("transformer")
        if transformer is not None and transformer.primary is not None:
            yield _row(transformer.primary, SupplyType.AC, True, None)


def _row(voltage: Voltage, supply: SupplyType, applied: bool, interrupting: int | None) -> _Rating:
    return supply.value, voltage.form.value, voltage.line, voltage.ground, applied, interrupting
