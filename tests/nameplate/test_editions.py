"""Nameplates by other editions: what stands on them, by which names, and what is told to be missing."""

import csv
from pathlib import Path

import pytest

import sccr
from sccr.editions import editions
from sccr.nameplate import DoesNotFit
from sccr.nameplate import Nameplate
from sccr.nameplate import Size
from sccr.nameplate.contents import contents
from sccr.nameplate.layout import plate
from sccr.nameplate.marking import marking
from sccr.report.cautions import CAUTIONS
from tests.nameplate.plates import Document
from tests.nameplate.plates import assembly
from tests.nameplate.plates import canadian
from tests.nameplate.plates import plate_of
from tests.nameplate.plates import protected_assembly
from tests.nameplate.plates import silo

TABLE = Path(__file__).parent.parent.parent / "sccr/nameplate/markings.csv"
ROWS = list(csv.DictReader(TABLE.read_text("utf-8").splitlines()))


def texts(nameplate: Nameplate) -> list[str]:
    """What stands on a plate, block by block; of a table each name with what stands below it."""
    found = []
    for section in contents(nameplate):
        for block in section:
            if hasattr(block, "text"):
                found.append(block.text)
            else:
                found += [f"{name}: {text}" for row in block.rows for name, text in zip(block.names, row, strict=True)]
    return found


def test_an_assembly_carries_what_iec_61439_1_and_iec_60204_1_ask_for() -> None:
    """IEC 61439-1 6.1: manufacturer, type, date of manufacture, standard; IEC 60204-1 16.4 (both from memory)."""
    found = texts(plate_of(assembly(serial="S-3")))

    assert found[:6] == [
        "Oat & Rye",
        "Type: SILO-8",
        "Serial no.: S-3",
        "Manufactured: ________",
        "Standard: IEC 61439-2",
        "Record: 01JD0M8TT9CQ8Z5B2W7E4R6KNV",
    ]
    assert found[6:11] == [
        "Supply: S",
        "Rated voltage: 230/400 V",
        "Phases: 3",
        "Frequency: 50 Hz",
        "Full-load current: 22 A",
    ]
    assert found[11:15] == [
        "Rated short-time withstand current",
        "Icw 10 kA (1 s), Ipk 17 kA, 400 V",
        "Degree of protection: IP54",
        "Main document: T-1",
    ]
    assert "Condition: a short circuit at supply S to be cleared upstream of the assembly within 1 s." in found


def test_behind_protection_upstream_the_rating_goes_by_its_other_name() -> None:
    found = texts(plate_of(protected_assembly()))

    assert "Rated conditional short-circuit current" in found
    assert any(text.startswith("Icc 10 kA, Ipk 17 kA") for text in found)
    assert any("to be protected by circuit breaker, 63 A maximum" in text for text in found)


def test_what_is_missing_follows_the_edition() -> None:
    """The largest motor, a main device and the available current are of the NEC; no document has the date."""
    bare = assembly()
    bare["panel"] = {"designation": "SILO-8"}
    del bare["supplies"][0]["full_load_current"], bare["supplies"][0]["available_fault_current_date"]
    del bare["components"][3]["full_load_current"]

    assert plate_of(assembly()).missing == ("/date_of_manufacture",)
    assert plate_of(bare).missing == (
        "/maker",
        "/diagram_number",
        "/date_of_manufacture",
        "/supplies/0/full_load_current",
    )
    found = texts(plate_of(bare))
    assert "Manufacturer ________" in found and "Main document: ________" in found
    assert not any(text.startswith("Degree of protection") for text in found)
    american = {**silo(), "panel": {"designation": "SILO-7"}}
    assert plate_of(american).missing == ("/maker", "/diagram_number", "/enclosure_type")


def test_the_pointers_to_what_is_missing_lead_to_null() -> None:
    for document in (assembly(), protected_assembly(), canadian()):
        nameplate = plate_of(document)
        fields = nameplate.as_dict()
        for pointer in nameplate.missing:
            value = fields
            for name in pointer.split("/")[1:]:
                value = value[int(name)] if name.isdigit() else value[name]
            assert value is None, pointer


def test_fields_name_the_edition_and_each_clause_that_is_from_memory() -> None:
    fields = plate_of(assembly()).as_dict()
    clauses = {item["item"]: item["clause"] for item in fields["markings"]}

    assert fields["edition"] == "IEC 61439-2:2020"
    assert clauses["date_of_manufacture"] == "IEC 61439-1 6.1 c) [clause from memory]"
    assert clauses["diagram_number"] == "IEC 60204-1 16.4 [clause from memory]"
    assert fields["cautions"][: len(CAUTIONS)] == list(CAUTIONS) and len(fields["cautions"]) > len(CAUTIONS)
    assert {"edition", "markings", "date_of_manufacture"}.isdisjoint(plate_of(silo()).as_dict())


def test_in_canada_the_plate_is_that_of_ul_by_canadian_names_in_english() -> None:
    nameplate = plate_of(canadian())
    found = texts(nameplate)

    assert "Short-circuit current rating (SCCR)" in found and "18 kA rms symmetrical, 600 V maximum" in found
    assert "Enclosure type: Type 4X" in found and "Largest motor or load: 14 A (MA1)" in found
    rating = next(item for item in nameplate.as_dict()["markings"] if item["item"] == "rating")
    assert "French" in rating["note"] and rating["clause"].endswith("[clause from memory]")
    assert nameplate.missing == ()


@pytest.mark.parametrize("made", [assembly, protected_assembly, canadian], ids=lambda made: made.__name__)
@pytest.mark.parametrize("size", [Size(100, 60), Size(120, 80), Size(150, 100)], ids=lambda size: size.text)
def test_nothing_is_clipped(made: object, size: Size) -> None:
    document: Document = made()  # type: ignore[operator]
    try:
        drawn = plate(plate_of(document), size)
    except DoesNotFit as refused:
        assert refused.needed is not None and refused.needed.width_mm > size.width_mm
        return
    lettered = " ".join(line.text for line in drawn.lines)
    assert sccr.rate(document).rating.text in lettered


def test_every_row_names_clause_and_confidence_and_every_edition_has_a_marking() -> None:
    assert all(row["clause"] and row["confidence"] in {"A", "B", "C", "D", "memory"} for row in ROWS)
    assert all(row["asked"] in {"yes", "stated"} for row in ROWS)
    assert {row["standard"] for row in ROWS} == {marking(edition).standard for edition in editions()}
    assert marking("UL 508A:2013") is marking("UL 508A:2018")
