"""`sccr fleet rerate` as whoever has corrected a marking calls it: beside a database, and at a service."""

import csv
import json
from collections.abc import Iterator
from contextlib import closing
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from click.testing import Result

from api.command_line import main
from sccr.schema.exchange import export_csv
from sccr.schema.exchange import export_xlsx
from tests.api.prepared import BETTER_CONTACTOR
from tests.api.prepared import BREAKER
from tests.api.prepared import CONTACTOR
from tests.api.prepared import DESIGNATION
from tests.api.prepared import ELEVATOR
from tests.api.prepared import ORDER
from tests.api.prepared import prepared_store
from tests.api.running import running
from tests.store.conftest import rated

#: A designation that a spreadsheet would calculate.
ODD = '=HYPERLINK("http://127.0.0.1:9")'
REASONABLE = {**CONTACTOR, "short_circuit_ratings": [{"voltage": "480 V", "current": "14 kA"}]}


@pytest.fixture
def database(tmp_path: Path) -> Iterator[str]:
    """A panel that was shipped, and one with an odd name that was not; both are worth 18 kA where 12 are available."""
    from sccr import Catalogue

    catalogue = Catalogue.from_document({"format": "catalogue/1", "parts": [BREAKER, BETTER_CONTACTOR]})
    odd = {**ELEVATOR, "panel": {"designation": ODD}}
    with closing(prepared_store(tmp_path)) as store:
        store.mark_shipped(ORDER, DESIGNATION, 2, "dock")
        store.put_revision("TO-9", ODD, rated(odd, catalogue=catalogue, catalogue_version=2))
    yield f"sqlite:///{tmp_path / 'prepared.db'}"


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, ["fleet", "rerate", *map(str, arguments)])


def written(folder: Path, *parts: dict[str, Any]) -> Path:
    file = folder / "parts.json"
    file.write_text(json.dumps({"format": "catalogue/1", "parts": parts}), "utf-8")
    return file


def test_a_shipped_panel_below_its_available_current_has_a_status_of_its_own(database: str, tmp_path: Path) -> None:
    found = run("--parts", written(tmp_path, CONTACTOR), "--database", database, "--width", 120)
    assert (found.exit_code, found.stderr) == (3, "")
    head, shipped, other = found.stdout.split("\n\n")
    assert head.splitlines() == [
        "FLEET  2 panels stored, 2 touched, 2 of them rated again",
        "  by       catalogue version 2 with 1 of its parts changed or added; engine 0.2.0",
        "  changed  2: 2 below the available current",
        "  !!  1 panel SHIPPED cannot stand as marked",
    ]
    assert shipped.startswith("Shipped: below the available fault current now")
    assert "TO-24018  ELV-02  2    18 kA, 480Y/277 V  5 kA, 480Y/277 V" in shipped
    assert "MAINS 12 kA: covered, now NOT covered, short by 7 kA" in shipped
    assert "-QA1 (MILLET-C9): marked 5 kA at 480 V" in shipped
    assert other.startswith("Not shipped: below the available fault current now")


def test_what_changes_and_still_covers_is_told_by_the_status(database: str, tmp_path: Path) -> None:
    found = run("--parts", written(tmp_path, REASONABLE), "--database", database)
    assert found.exit_code == 1
    assert "2 lowered" in found.stdout and "ok  1 panel shipped changed, and none of them fails" in found.stdout


def test_where_nothing_changes_that_is_told(database: str, tmp_path: Path) -> None:
    for arguments in ((), ("--full",), ("--parts", written(tmp_path, BREAKER))):
        found = run(*arguments, "--database", database)
        assert (found.exit_code, found.stderr) == (0, "")
        assert "changed  0" in found.stdout and "ok  nothing that was shipped changes" in found.stdout


def test_the_full_run_rates_all_and_says_so(database: str) -> None:
    found = run("--full", "--database", database)
    assert found.stdout.startswith("FLEET  2 panels stored, 0 touched, all of them rated again\n")


def test_a_part_that_is_gone_is_told(database: str, tmp_path: Path) -> None:
    found = run("--catalogue", written(tmp_path, BETTER_CONTACTOR), "--database", database, "--width", 200)
    assert found.exit_code == 3
    assert "Shipped: can no longer be rated" in found.stdout
    assert "-FC1 (RYE-3P-15): the part RYE-3P-15 is not in the catalogue" in found.stdout


@pytest.mark.parametrize("form", ["csv", "xlsx"])
def test_a_table_is_taken_as_well(database: str, tmp_path: Path, form: str) -> None:
    export = {"csv": export_csv, "xlsx": export_xlsx}[form]
    file = tmp_path / f"catalogue.{form}"
    file.write_bytes(export([BREAKER, CONTACTOR]))
    as_json = run("--catalogue", written(tmp_path, BREAKER, CONTACTOR), "--database", database, "--format", "json")
    found = run("--catalogue", file, "--database", database, "--format", "json")
    assert (found.exit_code, found.stdout) == (3, as_json.stdout)


def test_json_is_the_document_of_the_service(database: str, tmp_path: Path) -> None:
    file = written(tmp_path, CONTACTOR)
    found = run("--parts", file, "--database", database, "--format", "json")
    told = json.loads(found.stdout)
    assert (told["format"], told["counts"]["shipped_failing"]) == ("impacts/1", 1)
    assert [each["designation"] for each in told["impacts"]] == [DESIGNATION, ODD]
    with running(database, workers=1) as url:
        served = run("--parts", file, "--server", url, "--format", "json")
    assert (served.exit_code, json.loads(served.stdout)) == (found.exit_code, told)


def test_no_cell_of_the_table_is_a_formula(database: str, tmp_path: Path) -> None:
    report = tmp_path / "report.csv"
    found = run("--parts", written(tmp_path, CONTACTOR), "--database", database, "--format", "csv", "-o", report)
    assert (found.exit_code, found.stdout) == (3, "")
    text = report.read_text("utf-8-sig")
    header, *rows = list(csv.reader(StringIO(text, newline="")))
    told = [dict(zip(header, row, strict=True)) for row in rows]
    assert [each["panel"] for each in told] == [DESIGNATION, f"'{ODD}"]
    assert told[0] == {
        **{"order": ORDER, "panel": DESIGNATION, "revision": "2", "shipped": "2026-01-31T12:00:00.000000Z"},
        **{"outcome": "below_available", "marked": "18 kA, 480Y/277 V", "now": "5 kA, 480Y/277 V"},
        **{"adequate before": "yes", "adequate now": "no", "available": "MAINS 12 kA", "margin A": "-7000"},
        **{"limited by": "'-QA1", "part": "MILLET-C9", "because": "marked 5 kA at 480 V"},
        **{"changed parts": "MILLET-C9", "why": told[0]["why"], "record": "01JJY0M8TT9CQ8Z5B2W7E4R6K2"},
    }
    cells = [cell for row in rows for cell in row]
    assert not [cell for cell in cells if cell[:1] in ("=", "+", "@") or (cell[:1] == "-" and cell != "-7000")]


def test_the_text_shows_the_worst_and_says_how_many_more(database: str, tmp_path: Path) -> None:
    found = run("--parts", written(tmp_path, CONTACTOR), "--database", database, "--most", 1)
    assert DESIGNATION in found.stdout and "HYPERLINK" not in found.stdout
    assert found.stdout.endswith("and 1 more, none of them worse; --format csv has them all\n")


def test_a_run_of_the_service_is_waited_for(database: str, tmp_path: Path) -> None:
    """A hundred more panels than are answered at once."""
    with closing(prepared_store(tmp_path)) as store:
        store.mark_shipped(ORDER, DESIGNATION, 2, "dock")
        newest = store.revision(ORDER, DESIGNATION)
        assert newest is not None
        record = store.record(newest.record_id)
        assert record is not None
        from api.store import NewRecord

        for number in range(101):
            store.put_revision("TO-2", f"P-{number:03}", NewRecord(record.document, record.result, "ERP", 2))
    file = written(tmp_path, CONTACTOR)
    here = run("--parts", file, "--database", database, "--format", "csv")
    with running(database, workers=1) as url:
        there = run("--parts", file, "--server", url, "--format", "csv")
    assert here.exit_code == there.exit_code == 3
    assert len(here.stdout.splitlines()) == 103
    assert there.stdout == here.stdout


@pytest.mark.parametrize(
    ("name", "body", "told"),
    [
        ("parts.json", "{", "parts.json: "),
        ("parts.json", "[]", "is no catalogue"),
        ("parts.json", '{"format": "catalogue/1", "parts": [{"part": "OAT"}]}', "/changed_parts/0/kind"),
        ("parts.csv", "part,kind\nOAT,contacter\n", "line 2, kind: "),
        ("parts.txt", "part", "neither a CSV file"),
    ],
)
def test_a_file_that_is_none_is_bad_input(database: str, tmp_path: Path, name: str, body: str, told: str) -> None:
    (tmp_path / name).write_text(body, "utf-8")
    found = run("--parts", tmp_path / name, "--database", database)
    assert (found.exit_code, found.stdout) == (2, "")
    assert told in found.stderr


def test_two_files_are_too_many(database: str, tmp_path: Path) -> None:
    file = written(tmp_path, BREAKER)
    assert run("--parts", file, "--catalogue", file, "--database", database).exit_code == 2


def test_where_no_database_is_none_is_made(tmp_path: Path) -> None:
    found = run("--database", f"sqlite:///{tmp_path / 'none.db'}")
    assert (found.exit_code, [*tmp_path.iterdir()]) == (1, [])
    assert "there is no database" in found.stderr
