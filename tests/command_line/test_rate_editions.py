"""`sccr rate` by several editions: of the document, or named on the command line."""

import json
from pathlib import Path

import sccr

from .test_rate import run

FIXTURES = Path(__file__).parent.parent.parent / "fixtures"
THREE = str(FIXTURES / "worlds/three_worlds.json")
OHIO = str(FIXTURES / "worlds/elevator_ohio.json")
UL, CSA, IEC = "UL 508A:2018", "CSA C22.2 No. 286:2017", "IEC 61439-2:2020"


def test_json_is_what_the_library_gives() -> None:
    status, out, _ = run("rate", THREE, "--format", "json")
    assert status == 0
    assert json.loads(out) == json.loads(json.dumps(sccr.rate_editions(Path(THREE).read_bytes()).as_dict()))


def test_text_is_a_table_side_by_side() -> None:
    _, out, _ = run("rate", THREE, "--width", "140")
    rows = {edition: next(line for line in out.splitlines() if line.startswith(f" {edition}")) for edition in (UL, IEC)}
    assert "18 kA rms symmetrical, 480Y/277 V maximum" in rows[UL] and "-QA1, -BC1" in rows[UL]
    assert "Icc 15 kA, Ipk 30 kA, 400 V" in rows[IEC] and "-WB1" in rows[IEC]
    bar = next(line for line in out.splitlines() if line.startswith(" -WB1"))
    assert ["25 kA" in bar, "15 kA, short-time" in bar] == [True, True]
    assert "Derivation" not in out
    _, full, _ = run("rate", THREE, "--derivation")
    assert full.count("Derivation") == 3


def test_markdown_has_the_table_and_then_each_rating() -> None:
    _, out, _ = run("rate", THREE, "--format", "markdown")
    assert "| component | kind | UL 508A:2018 | CSA C22.2 No. 286:2017 | IEC 61439-2:2020 |" in out
    assert "| -WB1 | bus bar | 25 kA, marked | 25 kA, marked | 15 kA, short-time |" in out
    assert out.count("\n# LEG-20") == 3
    assert run("rate", THREE, "--format", "markdown", "--derivation", "none")[1].count("\n# LEG-20") == 0


def test_an_edition_on_the_command_line_stands_before_those_of_the_document() -> None:
    status, out, _ = run("rate", THREE, "--edition", IEC, "--format", "json")
    assert status == 0
    assert (json.loads(out)["format"], json.loads(out)["method"]["edition"]) == ("rating/1", IEC)
    _, out, _ = run("rate", THREE, "--edition", CSA, "--edition", UL, "--format", "json")
    assert [rating["method"]["edition"] for rating in json.loads(out)["ratings"]] == [CSA, UL]


def test_a_rating_withheld_by_one_of_them_is_status_3() -> None:
    assert run("rate", OHIO)[0] == 0
    status, out, _ = run("rate", OHIO, "--edition", UL, "--edition", IEC)  # nothing of the IEC is marked for 480 V
    assert status == 3
    assert "withheld" in out


def test_several_files_are_a_line_for_each_rating() -> None:
    _, out, _ = run("rate", THREE, OHIO, "--width", "200")
    assert sum("three_worlds.json" in line for line in out.splitlines()) == 3
    assert sum("elevator_ohio.json" in line for line in out.splitlines()) == 1


def test_what_is_no_edition_is_refused_with_those_that_there_are() -> None:
    status, _, told = run("rate", OHIO, "--edition", "BS 1")
    assert status == 2
    assert IEC in told
    assert run("rate", OHIO, "--edition", UL, "--edition", UL)[0] == 2
    assert run("rate", "--many", OHIO, "--edition", UL)[0] == 2


def test_the_cautions_of_every_edition_go_with_the_table() -> None:
    for form in ("text", "markdown"):
        _, out, _ = run("rate", THREE, "--format", form, "--derivation", "none", "--width", "300")
        words = " ".join(out.split())
        for caution in ("This is a design aid.", "was not held against its text", "one of the design verifications"):
            assert words.count(caution) == 1, (form, caution)
