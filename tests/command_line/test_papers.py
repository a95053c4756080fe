"""`sccr nameplate` and `sccr report` as a person calls them."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from api.command_line import main

FIXTURES = Path(__file__).parent.parent.parent / "fixtures"
ADEQUATE = str(FIXTURES / "panels/all_marked.json")
WITHHELD = str(FIXTURES / "panels/slash_rating_on_delta.json")
BY_PART = str(FIXTURES / "panels/series_rating.json")
CATALOGUE = str(FIXTURES / "catalogue/grain.json")


def run(*arguments: str) -> tuple[int, str]:
    found = CliRunner().invoke(main, arguments)
    return found.exit_code, found.stderr


@pytest.mark.parametrize(
    ("ending", "start"),
    [("png", b"\x89PNG"), ("pdf", b"%PDF"), ("svg", b"<"), ("json", b'{\n  "format": "nameplate/1"')],
)
def test_a_nameplate_in_each_form(tmp_path: Path, ending: str, start: bytes) -> None:
    output = tmp_path / f"plate.{ending}"

    assert run("nameplate", ADEQUATE, "-o", str(output)) == (0, "")
    assert output.read_bytes().startswith(start)


def test_a_withheld_panel_gets_no_nameplate(tmp_path: Path) -> None:
    output = tmp_path / "plate.png"
    status, err = run("nameplate", WITHHELD, "-o", str(output))

    assert status == 3
    assert "the rating is withheld" in err
    assert not output.exists()


def test_sizes_and_endings_are_checked(tmp_path: Path) -> None:
    assert "100x60" in run("nameplate", ADEQUATE, "-o", str(tmp_path / "a.png"), "--size", "big")[1]
    assert "at least" in run("nameplate", ADEQUATE, "-o", str(tmp_path / "a.png"), "--size", "30x18")[1]
    assert ".svg" in run("nameplate", ADEQUATE, "-o", str(tmp_path / "a.docx"))[1]


@pytest.mark.parametrize(
    ("ending", "start"), [("pdf", b"%PDF"), ("html", b"<!"), ("md", b"# "), ("svg", b"<"), ("json", b"{")]
)
def test_a_report_in_each_form(tmp_path: Path, ending: str, start: bytes) -> None:
    output = tmp_path / f"report.{ending}"

    assert run("report", BY_PART, "-o", str(output), "--catalogue", CATALOGUE) == (0, "")
    assert output.read_bytes().startswith(start)


def test_a_report_of_a_withheld_panel_says_so(tmp_path: Path) -> None:
    output = tmp_path / "report.json"

    assert run("report", WITHHELD, "-o", str(output)) == (0, "")
    assert json.loads(output.read_text("utf-8"))["status"] == "withheld"
