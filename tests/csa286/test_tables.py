"""The tables of Canada: every row says where it is from; no phrase is for a word that is said nowhere."""

import csv
from pathlib import Path

import pytest

import sccr
from sccr.csa286.tables import FILES
from sccr.csa286.tables import tables
from sccr.panel.kinds import kinds

FOLDER = Path(sccr.__file__).parent / "csa286"
ALL = [FOLDER / "clauses.csv", FOLDER / "differences.csv", *(FOLDER / "tables" / f"{name}.csv" for name in FILES)]


@pytest.mark.parametrize("path", ALL, ids=lambda path: path.stem)
def test_every_row_names_its_source_and_that_it_is_from_memory(path: Path) -> None:
    rows = list(csv.DictReader(path.read_text("utf-8").splitlines()))
    assert rows
    for row in rows:
        assert row["source"], row
        assert row["confidence"] == "memory", row
        assert None not in row, row


def test_no_table_lies_there_unread() -> None:
    assert {path.stem for path in (FOLDER / "tables").glob("*.csv")} == set(FILES)


def test_each_phrase_is_one_that_ul_508a_says() -> None:
    said = "".join(path.read_text("utf-8") for path in sorted((FOLDER.parent / "ul508a").rglob("*.py")))
    assert [phrase for phrase in tables().phrases if phrase not in said] == []


def test_each_clause_that_ul_508a_cites_has_a_name_in_canada() -> None:
    with (FOLDER.parent / "ul508a" / "clauses.csv").open(encoding="utf-8", newline="") as stream:
        cited = {row["clause"] for row in csv.DictReader(stream)}
    assert cited <= tables().clauses.keys()
    assert all(tables().clauses[clause].text == f"CSA C22.2 No. 286 (method of UL 508A {clause})" for clause in cited)


def test_the_devices_are_kinds_that_there_are() -> None:
    """The pairs, from memory: moulded-case breakers, supplementary protectors, fuses, contactors and starters."""
    assert tables().devices.keys() <= set(kinds())
    pairs = {kind: (device.ul, device.csa) for kind, device in tables().devices.items()}
    assert pairs["circuit_breaker"] == ("UL 489", "CSA C22.2 No. 5")
    assert pairs["supplementary_protector"] == ("UL 1077", "CSA C22.2 No. 235")
    assert pairs["fuse"] == ("UL 248", "CSA C22.2 No. 248")
    assert pairs["contactor"][1] == "CSA C22.2 No. 14 or CSA C22.2 No. 60947-4-1"
