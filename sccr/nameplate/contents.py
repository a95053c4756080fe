"""What stands on a plate, in which order, and what may be left off where it does not fit."""

from collections.abc import Iterator
from collections.abc import Sequence
from typing import Final

from sccr.nameplate.blocks import Paragraph
from sccr.nameplate.blocks import Table
from sccr.nameplate.fields import Nameplate
from sccr.nameplate.fields import ProtectiveDevice
from sccr.nameplate.fields import SupplyFields
from sccr.nameplate.font import Face
from sccr.nameplate.font import lettered
from sccr.result import Condition
from sccr.units import ampere_rating_text

Block = Paragraph | Table
#: Blocks between two rules.
Section = list[Block]

#: What may be left off, the first first. Everything of section 9 stays, and so does what must hold in the field.
OPTIONAL: Final = ("record", "title", "order", "revision", "fuses", "serial")
#: The conditions that are about parts in the panel, which its diagram shows as well.
_IN_THE_PANEL: Final = {"fuses", "protective-devices", "coordination-type-1"}
#: Where a field of NEC 409.110 is not stated: room to write it in.
BLANK: Final = "________"

# Heights of capitals on a plate of the usual size [mm]; see `LEAST_CAPITALS`.
_MAKER: Final = 3.2
_RATING: Final = 4.4
_RATING_OF_SUPPLY: Final = 2.8
_VALUE: Final = 2.7
_NAME: Final = 2.0
_TEXT: Final = 2.3


def contents(nameplate: Nameplate, without: Sequence[str] = (), run_in: bool = False) -> list[Section]:
    """Return what stands on a plate.

    Parameters
    ----------
    nameplate : Nameplate
    without : names of OPTIONAL
        What is left off. Conditions that are left off leave a line that says where they are written.
    run_in : bool
        Whether the conditions follow each other in one text.

    Raises
    ------
    Unletterable
        Where a text holds a character that the font has no letter for.
    """
    sections: list[Section] = [
        [*_identity(nameplate, without)],
        [_supplies(nameplate)],
        [*_rating(nameplate)],
        [_machine(nameplate)],
        [*_conditions(nameplate, without, run_in)],
    ]
    return [section for section in sections if section]


def _identity(nameplate: Nameplate, without: Sequence[str]) -> Iterator[Block]:
    identity, asked = nameplate.identity, nameplate.marking
    maker = lettered(identity.maker) if identity.maker else f"{asked.label('maker')} {BLANK}"
    yield Paragraph(maker, _MAKER, Face.BOLD)
    if identity.title and "title" not in without:
        yield Paragraph(lettered(identity.title), _TEXT)
    fields = [
        ("designation", identity.designation),
        ("revision", identity.revision),
        ("serial", identity.serial),
        ("date_of_manufacture", BLANK),
        ("order", identity.order),
        ("standard", asked.text("standard")),
    ]
    named = [(asked.label(key), text) for key, text in fields if text and asked.has(key) and key not in without]
    if nameplate.record is not None and "record" not in without:
        named.append(("Record", nameplate.record.id))
    yield _table(named)


def _table(fields: list[tuple[str, str]]) -> Table:
    row = tuple(lettered(text) for _, text in fields)
    return Table(tuple(name for name, _ in fields), (row,), _VALUE, _NAME)


def _supplies(nameplate: Nameplate) -> Table:
    """Return what is asked of each supply, and its protective device where that is asked for and known."""
    supplies, asked = nameplate.supplies, nameplate.marking
    columns: list[tuple[str, list[str]]] = [
        ("Supply", [lettered(s.id) for s in supplies]),
        (asked.label("voltage"), [s.voltage for s in supplies]),
        (asked.label("phases"), ["DC" if s.direct else str(s.phases) for s in supplies]),
        (asked.label("frequency"), ["–" if s.direct else s.frequency or BLANK for s in supplies]),
        (asked.label("full_load_current"), [_amperes(s.full_load_current) for s in supplies]),
    ]
    if all(s.direct for s in supplies):
        del columns[2:4]
    if asked.has("protective_device") and any(s.protective_device for s in supplies):
        columns.append((asked.label("protective_device"), [_protection(s) for s in supplies]))
    rows = zip(*(texts for _, texts in columns), strict=True)
    return Table(tuple(name for name, _ in columns), tuple(rows), _VALUE, _NAME)


def _amperes(current: int | None) -> str:
    return BLANK if current is None else ampere_rating_text(current)


def _protection(supply: SupplyFields) -> str:
    device: ProtectiveDevice | None = supply.protective_device
    return BLANK if device is None or device.ampere_rating is None else f"{_amperes(device.ampere_rating)} maximum"


def _rating(nameplate: Nameplate) -> Iterator[Block]:
    yield Paragraph(nameplate.marking.label_of_rating(nameplate.rating), _NAME)
    yield Paragraph(nameplate.rating.text, _RATING, Face.BOLD)
    if len(nameplate.supplies) > 1:
        for supply in nameplate.supplies:
            text = supply.rating.text if supply.rating else "no rating needed"
            yield Paragraph(f"Supply {lettered(supply.id)}: {text}", _RATING_OF_SUPPLY, Face.BOLD)


def _machine(nameplate: Nameplate) -> Table:
    """Return enclosure and diagram and, of a machine where it is asked for, the largest motor or load."""
    identity, load, asked = nameplate.identity, nameplate.largest_load, nameplate.marking
    stated = {
        "largest_load": None if load is None else f"{_amperes(load.full_load_current)} ({load.id})",
        "enclosure_type": identity.enclosure_type or (BLANK if asked.asks("enclosure_type") else None),
        "diagram_number": identity.diagram_number or BLANK,
    }
    return _table([(asked.label(name), text) for name, text in stated.items() if text and asked.has(name)])


def _conditions(nameplate: Nameplate, without: Sequence[str], run_in: bool) -> Iterator[Block]:
    if nameplate.more_than_one_disconnect:
        yield Paragraph(nameplate.marking.text("disconnects"), _TEXT, Face.BOLD)
    texts = [*_condition_texts(nameplate, without)]
    if run_in and texts:
        yield Paragraph("Conditions: " + "; ".join(texts) + ".", _TEXT)
    else:
        yield from (Paragraph(f"Condition: {text}.", _TEXT) for text in texts)


def _condition_texts(nameplate: Nameplate, without: Sequence[str]) -> Iterator[str]:
    field = [c for c in nameplate.conditions if not may_be_left_off(c)]
    panel = [c for c in nameplate.conditions if may_be_left_off(c)]
    yield from (lettered(c.text) for c in field)
    if panel and "fuses" in without:
        number = f"{len(panel)} more conditions" if len(panel) > 1 else "1 more condition"
        yield f"{number}: see file {_file(nameplate)}"
    else:
        yield from (lettered(c.text) for c in panel)


def may_be_left_off(condition: Condition) -> bool:
    """Return whether a condition may be left to the file: it is about a part of the panel, not about the field."""
    return condition.code in _IN_THE_PANEL


def _file(nameplate: Nameplate) -> str:
    if nameplate.record is not None:
        return nameplate.record.id
    return lettered(nameplate.identity.diagram_number or nameplate.identity.designation)
