"""The three steps of README, from site data to nameplate, run as they stand there and tell what is told there."""

import json
import shlex
from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner

from api.command_line import main

ROOT = Path(__file__).parent.parent
HEADING = "## From site data to nameplate: three steps on one demo order\n"
LEFT_OUT = "…"


def steps() -> Iterator[tuple[str, list[str]]]:
    """The commands of the section, each with the lines that README shows of what it prints."""
    section = (ROOT / "README.md").read_text("utf-8").split(HEADING)[1].split("\n## ")[0]
    shown: list[str] = []
    for line in section.splitlines():
        if line.startswith("    $ "):
            shown = []
            yield line.removeprefix("    $ "), shown
        elif line.startswith("    "):
            shown.append(line.removeprefix("    "))


def excerpt_of(shown: list[str], told: list[str]) -> bool:
    """Whether lines are shown as they were told, one after the other but where some are left out."""
    place, gap = 0, False
    for line in shown:
        if line == LEFT_OUT:
            gap = True
        elif gap and line in told[place:]:
            place, gap = told.index(line, place) + 1, False
        elif told[place : place + 1] == [line]:
            place += 1
        else:
            return False
    return gap or place == len(told)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "fixtures").symlink_to(ROOT / "fixtures")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "100")
    return tmp_path


def test_the_three_steps_are_as_told(folder: Path) -> None:
    found = [(command, [*shown]) for command, shown in list(steps())]
    ran = []
    for command, shown in found:
        name, *arguments = shlex.split(command)
        assert name == "sccr"
        result = CliRunner().invoke(main, arguments)
        assert result.exit_code == 0, (command, result.output)
        assert excerpt_of(shown, result.stdout.splitlines()), (command, result.stdout)
        ran.append(arguments[0])

    assert ran == ["fault", "rate", "upgrade", "rate", "nameplate"]
    assert (folder / "pit.png").read_bytes().startswith(b"\x89PNG")


def test_the_nameplate_of_the_panel_as_it_was_is_refused(folder: Path) -> None:
    result = CliRunner().invoke(main, ["nameplate", "fixtures/panels/computed_source.json", "-o", "plate.png"])

    assert result.exit_code == 3
    assert "-FC2" in result.stderr
    assert not (folder / "plate.png").exists()


def test_the_site_is_the_source_of_the_panel() -> None:
    site = json.loads((ROOT / "fixtures/sites/receiving_pit.json").read_bytes())
    panel = json.loads((ROOT / "fixtures/panels/computed_source.json").read_bytes())

    assert site == {"format": "site/1", **panel["supplies"][0]["source"]}


def test_what_is_left_out_is_marked() -> None:
    assert excerpt_of(["a", LEFT_OUT, "c"], ["a", "b", "c"])
    assert not excerpt_of(["a", "c"], ["a", "b", "c"])
    assert not excerpt_of(["a"], ["a", "b"])
    assert not excerpt_of(["a", LEFT_OUT, "b"], ["a"])
