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
    assert out.startswith("to 14 kA by changes: 1, proved the least\n  swap -FC5: OAT-3P-60 → OAT-3P-60H")
    assert "then rated 14 kA" in out


def test_several_targets_as_json_lines() -> None:
    _, out, _ = run(
        "upgrade", LINE, "--target", "10 kA", "--target", "14 kA", "--objective", "changes", "--format", "json"
    )  # fmt: skip
    found = [json.loads(line) for line in out.splitlines()]

    assert [step["target"]["current"] for step in found] == ["10 kA", "14 kA"]
    assert [step["best"]["cost"] for step in found] == ["0", "1"]


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
    assert "Suit (" in out and "Near misses (" in out


def test_none_suits(tmp_path: Path) -> None:
    status, out, _ = run("select", circuit(tmp_path, available_fault_current="199 kA"), "--format", "json")

    assert status == 1
    assert json.loads(out)["suitable"] == []


def test_a_bad_circuit_names_its_fields(tmp_path: Path) -> None:
    status, _, err = run("select", circuit(tmp_path, voltage="480"))

    assert status == 2
    assert "/voltage" in err
