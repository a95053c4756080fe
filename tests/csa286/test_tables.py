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


#: What the tables say, once more by hand (from memory, as they are; the sources stand in the tables).
STARTER = ("UL 508 or UL 60947-4-1", "CSA C22.2 No. 14 or CSA C22.2 No. 60947-4-1")
DEVICES = {
    "circuit_breaker": ("UL 489", "CSA C22.2 No. 5"),
    "supplementary_protector": ("UL 1077", "CSA C22.2 No. 235"),
    "fuse": ("UL 248", "CSA C22.2 No. 248"),
    "fuseholder": ("UL 4248", "CSA C22.2 No. 4248"),
    **dict.fromkeys(("contactor", "overload_relay", "motor_starter"), STARTER),
    **dict.fromkeys(("manual_motor_controller", "combination_motor_controller"), STARTER),
    "soft_starter": ("UL 508 or UL 60947-4-2", "CSA C22.2 No. 14 or CSA C22.2 No. 60947-4-2"),
    "drive": ("UL 508C or UL 61800-5-1", "CSA C22.2 No. 274"),
    "terminal_block": ("UL 1059", "CSA C22.2 No. 158"),
    "power_distribution_block": ("UL 1953 or UL 1059", "CSA C22.2 No. 158"),
    "disconnect_switch": ("UL 98 or UL 508", "CSA C22.2 No. 4 or CSA C22.2 No. 14"),
    "fused_disconnect_switch": ("UL 98", "CSA C22.2 No. 4"),
}
CERTIFICATION = {"CSA": "yes", "C22.2": "yes", "CAN/": "yes", "cUL": "yes", "CSA US": "no", "CSAus": "no"}
PHRASES = {
    "NEC 409.22(A), 670.5": "CEC Rule 14-012",
    "NEC 409.22(B), 670.5": "CEC Rules 2-100, 2-104",
    "NEC 110.9": "CEC Rule 14-012",
    "NEC 240.86(C)": "CEC Rule 14-014",
    **{f"Table SB4.{n}": f"Table SB4.{n} of UL 508A" for n in (1, 2)},
    **{clause: f"UL 508A {clause}" for clause in ("SB4.3", "SB4.3.1", "SB4.3.2", "SB4.3.3")},
}
VOLTAGES = {"120": "120 V", "208": "208Y/120 V", "240": "240/120 V", "600": "600Y/347 V"}


@pytest.mark.parametrize(
    ("name", "columns", "expected"),
    [
        ("device_standards", ("kind", "ul", "csa"), DEVICES),
        ("certification", ("prefix", "counts"), {key: (value,) for key, value in CERTIFICATION.items()}),
        ("phrases", ("ul", "csa"), {key: (value,) for key, value in PHRASES.items()}),
        ("nominal_voltages", ("line_v", "written"), {key: (value,) for key, value in VOLTAGES.items()}),
    ],
)
def test_the_rows_of_a_table(name: str, columns: tuple[str, ...], expected: dict[str, tuple[str, ...]]) -> None:
    rows = list(csv.DictReader((FOLDER / "tables" / f"{name}.csv").read_text("utf-8").splitlines()))
    first, *others = columns

    assert {row[first]: tuple(row[column] for column in others) for row in rows} == expected
    assert len(rows) == len(expected)
