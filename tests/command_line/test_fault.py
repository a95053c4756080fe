"""`sccr fault` as a person or a script calls it, on the demo sites."""

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from api.command_line import main
from sccr.fault_current import fault_current
from sccr.schema.site import load_site
from tests.command_line.test_installed import run as without_extras

SITES = Path(__file__).parent.parent.parent / "fixtures/sites"
HOUSE = str(SITES / "elevator_house.json")
STUDY = str(SITES / "second_hand_study.json")


def run(*arguments: str, given: str | None = None) -> tuple[int, str, str]:
    found = CliRunner().invoke(main, ["fault", *arguments], input=given)
    return found.exit_code, found.stdout, found.stderr


def written(folder: Path, document: dict[str, Any]) -> str:
    path = folder / "site.json"
    path.write_text(json.dumps(document), "utf-8")
    return str(path)


@pytest.mark.parametrize("site", sorted(SITES.glob("*.json")), ids=lambda path: path.stem)
def test_json_is_what_the_library_gives(site: Path) -> None:
    status, out, _ = run(str(site), "--format", "json")

    assert status == 0
    assert json.loads(out) == json.loads(json.dumps(fault_current(load_site(site.read_bytes())).as_dict()))


def test_text_is_a_table_of_nodes_with_most_and_least_and_says_how_they_are_rounded() -> None:
    """The transformer of the study: 14 912 A by R and X (750 kVA, 5.75 %, X/R 5.5 behind 250 MVA, X/R 8)."""
    status, out, _ = run(STUDY, "--width", "100")
    rows = [" ".join(line.split()) for line in out.splitlines()]

    assert status == 0
    assert out.splitlines()[1] == "AVAILABLE  8.483 kA rms symmetrical at 480Y/277 V, rounded up to whole amperes"
    assert "switchboard 3-phase 14 912 5.59 33 592 19 153 14 435 14 911" in rows
    assert "the maximum rounded up to whole amperes" in " ".join(out.split())
    assert "rounded down" in out.splitlines()[3]


def test_findings_are_printed_with_what_they_are_about() -> None:
    _, out, _ = run(STUDY, "--width", "200")

    assert "  warning  conductor 1: 75 °C lowers the maximum: a cold conductor carries more" in out
    assert "the stated figure is met by leaving out conductor 1" in out


def test_each_state_has_its_table_and_the_one_that_governs_comes_first() -> None:
    _, out, _ = run(HOUSE)

    assert out.index("as described (governs)") < out.index("standby generator")


def test_derivation_on_request() -> None:
    assert "ΣZ = " not in run(HOUSE)[1]
    assert "ΣZ = " in run(HOUSE, "--derivation", "--width", "200")[1]


def test_markdown_has_table_findings_and_derivation() -> None:
    _, out, _ = run(STUDY, "--format", "markdown")

    assert out.startswith("# Conveyor gallery: an older study checked\n\n**AVAILABLE  8.483 kA")
    assert "| switchboard | 3-phase | 14 912 |" in out
    assert "## Findings" in out and "## Derivation" in out


def test_the_record_is_dated_and_holds_what_it_was_calculated_from() -> None:
    _, out, _ = run(HOUSE, "--record", "--date", "2026-03-31", "--format", "json")
    record = json.loads(out)

    assert record["format"] == "fault-current-record/1" and record["date"] == "2026-03-31"
    assert any("409.22" in each for each in record["basis"]) and any("670.5" in each for each in record["basis"])
    assert record["site"] == json.loads(Path(HOUSE).read_bytes())
    assert load_site(record["site"]).document_digest == record["document_digest"]


def test_the_record_as_markdown() -> None:
    status, out, _ = run(HOUSE, "--record", "--date", "2026-03-31")

    assert status == 0
    assert "**Date of the calculation: 2026-03-31**" in out and "409.22(B)" in out
    assert '"available": "500 MVA"' in out


def test_no_record_and_status_3_where_nothing_is_established(tmp_path: Path) -> None:
    site = written(tmp_path, {"utility": {"available": "infinite", "voltage": "480Y/277 V"}})
    status, out, err = run(site, "--record")

    assert (status, out) == (3, "")
    assert "no-impedance" in err
    status, out, _ = run(site)
    assert status == 3 and "NOT ESTABLISHED" in out


def test_a_bad_site_names_every_place(tmp_path: Path) -> None:
    site = written(tmp_path, {"utility": {"available": "500", "voltage": "13.8 kV"}, "elements": [{}]})
    status, _, err = run(site)

    assert status == 2
    assert "2 problems" in err and "/utility/available" in err and "/elements/0/transformer" in err


def test_bad_dates_and_bad_json_are_bad_input() -> None:
    assert run(HOUSE, "--record", "--date", "31.3.2026")[0] == 2
    assert run("-", given="{")[0] == 2
    assert run("-", given=Path(HOUSE).read_text("utf-8"))[0] == 0


def test_neither_this_nor_choosing_needs_an_extra() -> None:
    fixtures = SITES.parent
    choosing = (fixtures / "circuits/elevator_leg_motor.json", "--catalogue", fixtures / "catalogue/grain.json")

    assert without_extras("fault", HOUSE)[0] == 0
    assert without_extras("select", *choosing)[0] == 0
