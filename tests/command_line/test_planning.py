"""`sccr upgrade` and `sccr select` as a person calls them."""

import json
from pathlib import Path

from click.testing import CliRunner

from api.command_line import main

FIXTURES = Path(__file__).parent.parent.parent / "fixtures"
LINE = str(FIXTURES / "panels/whole_line.json")
CATALOGUE = str(FIXTURES / "catalogue/grain.json")


def run(*arguments: str) -> tuple[int, str, str]:
    found = CliRunner().invoke(main, [*arguments, "--catalogue", CATALOGUE])
    return found.exit_code, found.stdout, found.stderr


def test_one_swap_lifts_the_line_to_its_target() -> None:
    status, out, _ = run("upgrade", LINE, "--target", "14 kA", "--objective", "changes", "--alternatives", "0")

    assert status == 0
    assert out.startswith("To 14 kA by changes: 1 change, proved the least\n")
    (row,) = [line.split() for line in out.splitlines() if line.startswith(" swap")]
    before = row.index("OAT-3P-60")  # the kind before it takes one line or two, by the width of the terminal
    assert row[1] == "-FC5" and row[before + 1] == "OAT-3P-60H"
    assert "then rated 14 kA" in out


def test_the_next_best_plans_are_told_by_their_difference() -> None:
    _, out, _ = run("upgrade", LINE, "--target", "14 kA", "--alternatives", "1", "--width", "160")
    cost, more, name, part = out[out.index("Next best") :].splitlines()[1].split()[:4]

    assert float(cost) > 0 and more.startswith("(+") and name.startswith("-") and part
    assert "in place of" in out or " too" in out


def test_what_blocks_a_target_is_told() -> None:
    status, out, _ = run("upgrade", str(FIXTURES / "panels/slash_rating_on_delta.json"))

    assert status == 1
    assert out.startswith(
        "To 18 kA by price: out of reach with these parts\n  -FC1  the catalogue has no circuit breaker"
    )


def test_several_targets_as_json_lines() -> None:
    _, out, _ = run(
        "upgrade", LINE, "--target", "10 kA", "--target", "14 kA", "--objective", "changes", "--format", "json"
    )  # fmt: skip
    found = [json.loads(line) for line in out.splitlines()]

    assert [step["target"]["current"] for step in found] == ["10 kA", "14 kA"]
    assert [step["best"]["cost"] for step in found] == ["0", "1"]


def test_the_changed_panel_is_written_and_rates_as_told(tmp_path: Path) -> None:
    changed = tmp_path / "changed.json"
    status, out, _ = run("upgrade", LINE, "--target", "14 kA", "--format", "json", "-o", str(changed))
    told = json.loads(out)["best"]
    rated, again, _ = run("rate", str(changed), "--format", "json")

    assert (status, rated) == (0, 0)
    assert json.loads(changed.read_bytes()) == told["document"]
    assert json.loads(again)["rating"] == told["rating"]
    assert run("upgrade", LINE, "--target", "14 kA", "--target", "22 kA", "-o", str(changed))[0] == 2


def test_a_bad_target_is_told() -> None:
    status, _, err = run("upgrade", LINE, "--target", "65")

    assert status == 2
    assert "65 kA" in err


def circuit(folder: Path, **more: object) -> str:
    document = {
        "format": "circuit/1",
        "voltage": "480Y/277 V",
        "system": "solidly_grounded_wye",
        "load": {"motor": {"horsepower": "10 hp"}},
        "available_fault_current": "18 kA",
        "wanted": {"kinds": ["circuit_breaker"]},
        **more,
    }
    path = folder / "circuit.json"
    path.write_text(json.dumps(document), "utf-8")
    return str(path)


def test_devices_that_suit_and_near_misses(tmp_path: Path) -> None:
    status, out, _ = run("select", circuit(tmp_path))

    assert status == 0
    assert "Suit, the best first (" in out and "Near misses, the nearest first (" in out
    assert "Why " not in out


def test_each_device_is_listed_with_its_margin_and_each_miss_with_its_reason(tmp_path: Path) -> None:
    """10 hp draws 14 A (NEC Table 430.250): a breaker of 17.5 A to 35 A (430.52), interrupting 18 kA."""
    _, out, _ = run("select", circuit(tmp_path), "--width", "140")
    lines = [" ".join(line.split()) for line in out.splitlines()]

    assert lines[0] == "480 V, solidly grounded wye, 3 poles"
    assert "full load 14 A 10 hp at 460 V: 14 A (NEC 430.6(A)(1), Table 430.250)" in lines
    assert any(line.startswith("circuit breaker 17.5 A to 35 A") for line in lines)
    assert any(
        line.startswith("OAT-3P-30H circuit breaker, curve D 30 A 3 35 kA at 480Y/277 V 17 kA") for line in lines
    )
    reason = "OAT-3P-30 interrupting rating 14 kA at 480Y/277 V, below 18 kA (the available fault current: 18 kA)"
    assert reason in lines


def test_what_the_catalogue_leaves_open_is_told_and_why_prints_every_check(tmp_path: Path) -> None:
    _, out, _ = run("select", circuit(tmp_path, wanted={"kinds": ["fuse"]}), "--why", "--width", "140")

    assert "PEA-CC-30: the catalogue does not state its melting curve" in out
    assert "Why PEA-CC-30" in out
    assert "class CC: branch protection" in out


def test_none_suits(tmp_path: Path) -> None:
    status, out, _ = run("select", circuit(tmp_path, available_fault_current="199 kA"), "--format", "json")

    assert status == 1
    assert json.loads(out)["suitable"] == []


def test_a_bad_circuit_names_its_fields(tmp_path: Path) -> None:
    status, _, err = run("select", circuit(tmp_path, voltage="480"))

    assert status == 2
    assert "/voltage" in err


def test_an_edition_may_be_named_for_a_choice_and_for_a_plan(tmp_path: Path) -> None:
    """By IEC no breaker of this catalogue states a breaking capacity; the panel then has no rating, and no plan."""
    edition = ("--edition", "IEC 61439-2:2020")
    status, out, _ = run(
        "select", circuit(tmp_path, wanted={"kinds": ["circuit_breaker"]}), *edition, "--format", "json"
    )
    chosen = json.loads(out)

    assert status == (0 if chosen["suitable"] else 1)
    assert chosen["method"]["edition"] == "IEC 61439-2:2020"
    assert "amperes-sized-by-nec" in {finding["code"] for finding in chosen["findings"]}

    status, out, _ = run("upgrade", LINE, *edition, "--target", "14 kA", "--format", "json")
    planned = json.loads(out.splitlines()[0])
    assert planned["best"] is None or planned["best"]["document"]["edition"] == "IEC 61439-2:2020"
    assert status == (1 if planned["best"] is None else 0)
