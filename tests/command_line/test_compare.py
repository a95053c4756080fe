"""`sccr compare` as a person calls it."""

import json
from pathlib import Path

from click.testing import CliRunner

from api.command_line import main
from api.command_line.compare import comparison_text

PANELS = Path(__file__).parent.parent.parent / "fixtures/panels"
UNMARKED = PANELS / "unmarked_contactor.json"


def run(*arguments: str) -> tuple[int, str, str]:
    found = CliRunner().invoke(main, ["compare", *arguments])
    return found.exit_code, found.stdout, found.stderr


def with_marked_contactor(folder: Path) -> Path:
    document = json.loads(UNMARKED.read_text("utf-8"))
    contactor = next(c for c in document["components"] if c["id"] == "-QA1")
    contactor["short_circuit_ratings"] = [{"current": "18 kA", "voltage": "600 V"}]
    changed = folder / "changed.json"
    changed.write_text(json.dumps(document), "utf-8")
    return changed


def test_the_same_panel() -> None:
    status, out, _ = run(str(UNMARKED), str(UNMARKED))

    assert status == 0
    assert "the rating reads the same" in out


def test_a_changed_part_says_why_the_rating_moved(tmp_path: Path) -> None:
    status, out, _ = run(str(UNMARKED), str(with_marked_contactor(tmp_path)))

    assert status == 1
    assert "-QA1, which held it, goes from 5000 A to 18000 A" in out
    assert "-QA1: short_circuit_ratings" in out
    lines = [line.split() for line in out.split("First step of the derivation that differs\n")[1].splitlines()]
    assert [line[:4] for line in lines] == [["before", "2", "SB4.2", "-QA1:"], ["after", "2", "SB4.2", "-QA1:"]]
    assert (lines[0][4], lines[1][4]) == ("unmarked", "marked")


def test_which_step_was_before_does_not_hang_on_the_order_of_the_answer() -> None:
    step = {"number": 2, "clause": "SB4.2", "component": "-QA1", "statement": "marked 18 kA"}
    found = {"before": "5 kA", "after": "18 kA", "why": [], "added": [], "removed": [], "changed": [], "moved": []}

    told = comparison_text({**found, "diverges": {"after": step, "before": None}}).splitlines()

    assert told[-2:] == ["  before  none: the derivation ends before it", "  after   2 SB4.2 -QA1: marked 18 kA"]


def test_json(tmp_path: Path) -> None:
    _, out, _ = run(str(UNMARKED), str(with_marked_contactor(tmp_path)), "--format", "json")

    assert json.loads(out)["difference_amperes"] == 13_000


def test_bad_input(tmp_path: Path) -> None:
    bad = tmp_path / "bad.json"
    bad.write_text("{", "utf-8")
    status, _, err = run(str(bad), str(UNMARKED))

    assert status == 2
    assert str(bad) in err
