"""`sccr rate` as a person or a script calls it."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

import sccr
from api.command_line import main
from tests.drawing import contactor
from tests.drawing import panel

FIXTURES = Path(__file__).parent.parent.parent / "fixtures"
RATED = str(FIXTURES / "panels/all_marked.json")
WITHHELD = str(FIXTURES / "panels/slash_rating_on_delta.json")
LARGE = str(FIXTURES / "panels/whole_line.json")
BY_PART = str(FIXTURES / "panels/series_rating.json")
CATALOGUE = str(FIXTURES / "catalogue/grain.json")


def run(*arguments: str, given: str | bytes | None = None) -> tuple[int, str, str]:
    found = CliRunner().invoke(main, arguments, input=given)
    return found.exit_code, found.stdout, found.stderr


@pytest.mark.parametrize(("files", "status"), [([RATED], 0), ([WITHHELD], 3), ([RATED, WITHHELD], 3)])
def test_exit_status(files: list[str], status: int) -> None:
    assert run("rate", *files)[0] == status


def test_json_is_what_the_library_gives() -> None:
    _, out, _ = run("rate", RATED, "--format", "json")

    assert json.loads(out) == sccr.rate(Path(RATED).read_bytes()).as_dict()


def test_a_catalogue_is_looked_up() -> None:
    _, without, _ = run("rate", BY_PART)
    status, out, _ = run("rate", BY_PART, "--catalogue", CATALOGUE)

    assert status == 0
    assert "RATED  25 kA rms symmetrical, 480Y/277 V maximum" in out
    assert "was not looked up" in without


def test_standard_input() -> None:
    status, out, _ = run("rate", "-", "--format", "json", given=Path(RATED).read_bytes())

    assert status == 0
    assert json.loads(out)["rating"]["current"] == "18 kA"


def test_several_files_are_a_table_or_a_line_each() -> None:
    _, table, _ = run("rate", RATED, WITHHELD, "--width", "160")
    _, lines, _ = run("rate", RATED, WITHHELD, "--format", "json")

    assert "all_marked.json" in table and "withheld" in table
    assert [json.loads(line)["status"] for line in lines.splitlines()] == ["rated", "withheld"]


def test_markdown_and_derivation() -> None:
    assert run("rate", RATED, "--format", "markdown")[1].startswith("# ")
    assert "Derivation" in run("rate", RATED, "--derivation")[1]
    assert "Derivation" not in run("rate", RATED)[1]


@pytest.mark.parametrize("form", ["text", "json", "markdown"])
def test_how_much_of_the_derivation_is_written(form: str) -> None:
    full, short, none = (
        run("rate", LARGE, "--catalogue", CATALOGUE, "--format", form, "--derivation", extent)[1]
        for extent in ("full", "short", "none")
    )
    unasked = run("rate", LARGE, "--catalogue", CATALOGUE, "--format", form)[1]

    assert len(full) > len(short) > len(none)
    assert unasked == (none if form == "text" else full)
    if form == "json":
        told = [json.loads(text).get("derivation_extent") for text in (full, short, none)]
        assert told == [None, "short", "none"]


def test_an_unknown_extent_of_the_derivation_is_refused() -> None:
    status, _, err = run("rate", RATED, "--derivation", "some")

    assert status == 2
    assert "'full', 'short', 'none'" in err


def test_every_problem_of_a_bad_document_is_named_and_the_others_are_still_rated(tmp_path: Path) -> None:
    bad = tmp_path / "bad.json"
    document = panel(
        contactor("KM1", "S", short_circuit_ratings=[{"current": 65, "voltage": "480 V"}]), contactor("K2", "X")
    )
    bad.write_text(json.dumps(document), "utf-8")
    status, out, err = run("rate", str(bad), RATED, "--format", "json")

    assert status == 2
    assert "2 problems" in err
    assert "/components/0/short_circuit_ratings/0/current" in err and '"65 kA"' in err
    assert "/components/1/fed_from" in err
    assert json.loads(out)["rating"]["current"] == "18 kA"


@pytest.mark.parametrize("text", [b"", b"{", b"\xff\xfe", b'{"a": NaN}', b"[" * 5000])
def test_what_is_not_json_is_bad_input(text: bytes) -> None:
    status, out, err = run("rate", "-", given=text)

    assert (status, out) == (2, "")
    assert err.startswith("-: ") and "Traceback" not in err


def test_a_missing_file_and_a_bad_catalogue_are_bad_input(tmp_path: Path) -> None:
    bad = tmp_path / "catalogue.json"
    bad.write_text('{"format": "catalogue/1", "parts": [{"part": "A", "kind": "contator"}]}', "utf-8")

    assert run("rate", str(tmp_path / "none.json"))[0] == 2
    status, _, err = run("rate", RATED, "--catalogue", str(bad))
    assert status == 2
    assert "contactor" in err
