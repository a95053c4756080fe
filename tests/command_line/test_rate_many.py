"""`sccr rate --many`: a line for each line, and going on where it was broken off."""

import json
import os
import pty
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

import sccr
from api.command_line import main
from api.command_line.many import LONGEST
from tests.many.panels import CATALOGUE
from tests.many.panels import FIXTURES
from tests.many.panels import documents
from tests.many.panels import lines
from tests.work.serving import eventually

ROOT = Path(__file__).parents[2]
GRAIN = ("--catalogue", str(FIXTURES / "catalogue/grain.json"))


def run(*arguments: object, given: bytes | None = None) -> tuple[int, bytes, str]:
    found = CliRunner().invoke(main, ["rate", *map(str, arguments)], input=given)
    assert found.exception is None or isinstance(found.exception, SystemExit), found.exception
    return found.exit_code, found.stdout_bytes, found.stderr


@pytest.fixture
def many(tmp_path: Path) -> Path:
    """A file of panels: right ones, blank lines, bad ones, and one that ends with a carriage return."""
    file = tmp_path / "panels.ndjson"
    given = lines(40)
    given[3], given[7], given[8], given[20] = b"", b'{"format": "panel/1"}', b"not JSON", given[20] + b"\r"
    file.write_bytes(b"\n".join(given))  # the last line has no end
    return file


def test_each_line_gives_a_line_in_the_same_order(many: Path) -> None:
    status, out, err = run("--many", many, *GRAIN, "--workers", 2)

    told = [json.loads(line) for line in out.splitlines()]
    assert status == 2
    assert [each["line"] for each in told] == [*range(1, 41)]
    assert [each["line"] for each in told if each["status"] != 200] == [4, 8, 9]
    catalogue = sccr.Catalogue.from_document(CATALOGUE)
    for each, document in zip(told, documents(40), strict=True):
        if each["status"] == 200:
            assert each["result"] == sccr.rate(document, catalogue).as_dict()
    assert told[3]["problem"]["type"] == told[8]["problem"]["type"] == "/problems/malformed-json"
    assert {error["pointer"] for error in told[7]["problem"]["errors"]} == {"/panel", "/supplies", "/components"}
    assert err.startswith("40 panels: ") and "3 refused" in err


@pytest.mark.parametrize("workers", [0, 1, 2])
def test_the_same_lines_come_whoever_rates(many: Path, workers: int) -> None:
    assert run("--many", many, *GRAIN, "--workers", workers)[1] == run("--many", many, *GRAIN, "--workers", 0)[1]


def test_standard_input_is_read_and_the_environment_says_who_rates(many: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    expected = run("--many", many, "--workers", 0)[1]
    monkeypatch.setenv("SCCR_WORKERS", "0")
    assert run("--many", "-", given=many.read_bytes())[1] == expected
    monkeypatch.setenv("SCCR_WORKERS", "all of them")
    status, out, err = run("--many", "-", given=many.read_bytes())
    assert (status, out) == (2, b"")
    assert "SCCR_WORKERS: 'all of them' says nothing of who rates" in err


def test_a_line_that_is_too_long_is_told_so_and_the_others_are_rated(tmp_path: Path) -> None:
    file = tmp_path / "long.ndjson"
    good, after = lines(2)
    with file.open("wb") as stream:
        stream.write(good + b" " * (LONGEST - len(good)) + b"\n")
        stream.write(good + b" " * (LONGEST - len(good) + 1) + b"\n")
        stream.write(b"{" * 3 * LONGEST + b"\n" + after)

    _, out, _ = run("--many", file, "--workers", 0)

    told = [json.loads(line) for line in out.splitlines()]
    assert [each["status"] for each in told] == [200, 413, 413, 200]
    assert told[1]["problem"]["type"] == "/problems/body-too-large"
    assert told[1]["problem"]["detail"] == f"The line is longer than {LONGEST} bytes, the most that is read."


@pytest.mark.parametrize(
    ("numbers", "status"), [([0], 0), ([0, 1], 3), ([], 0)], ids=["all rated", "one withheld", "nothing"]
)
def test_exit_status(tmp_path: Path, numbers: list[int], status: int) -> None:
    file = tmp_path / "panels.ndjson"
    file.write_bytes(b"".join(lines(2)[number] + b"\n" for number in numbers))

    assert run("--many", file, "--workers", 0)[0] == status


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ((), "name the files of panels"),
        (("a.json", "--many", "b.ndjson"), "not both"),
        (("a.json", "--out", "c"), "--out is of use with --many only"),
        (("a.json", "--resume"), "--resume is of use with --many only"),
        (("--many", "b.ndjson", "--resume"), "b.ndjson: No such file"),
        (("--many", "-", "--resume", "--out", "c"), "--resume needs --out, and a file that can be read again"),
    ],
)
def test_what_cannot_be_meant_is_told(arguments: tuple[str, ...], told: str, tmp_path: Path) -> None:
    status, out, err = run(*arguments, given=b"")

    assert (status, out) == (2, b"")
    assert told in " ".join(err.split())


class TestGoingOn:
    """With --out and --resume: the same bytes, however often it was broken off."""

    @pytest.fixture
    def whole(self, many: Path) -> bytes:
        """What an undisturbed run gives."""
        return run("--many", many, *GRAIN, "--workers", 0)[1]

    @pytest.mark.parametrize("kept", [0, 1, 3, 17, 39, 40])
    @pytest.mark.parametrize("half", [0, 1, 200])
    def test_it_goes_on_after_the_last_whole_line(
        self, many: Path, whole: bytes, tmp_path: Path, kept: int, half: int
    ) -> None:
        out = tmp_path / "out.ndjson"
        status, _, _ = run("--many", many, *GRAIN, "--workers", 0, "--out", out)
        assert out.read_bytes() == whole
        each = whole.splitlines(keepends=True)
        out.write_bytes(b"".join(each[:kept]) + b"".join(each[kept : kept + 1])[:half])

        again = run("--many", many, *GRAIN, "--workers", 0, "--out", out, "--resume")

        assert (again[0], again[1]) == (status, b"")
        assert out.read_bytes() == whole
        assert again[2].startswith("40 panels: ") and (f"; {kept} of them before" in again[2] or not kept)

    def test_what_a_failing_disk_leaves_after_the_last_whole_line_is_cut_off(
        self, many: Path, whole: bytes, tmp_path: Path
    ) -> None:
        out = tmp_path / "out.ndjson"
        run("--many", many, *GRAIN, "--workers", 0, "--out", out)
        out.write_bytes(b"".join(whole.splitlines(keepends=True)[:35]) + b"\0" * 10 * len(whole))

        run("--many", many, *GRAIN, "--workers", 0, "--out", out, "--resume")

        assert out.read_bytes() == whole

    def test_without_results_it_begins(self, many: Path, whole: bytes, tmp_path: Path) -> None:
        out = tmp_path / "out.ndjson"

        run("--many", many, *GRAIN, "--workers", 0, "--out", out, "--resume")

        assert out.read_bytes() == whole

    def test_results_are_not_overwritten(self, many: Path, tmp_path: Path) -> None:
        out = tmp_path / "out.ndjson"
        out.write_text("mine", "utf-8")

        status, _, err = run("--many", many, "--workers", 0, "--out", out)

        assert (status, out.read_text("utf-8")) == (2, "mine")
        assert "is there already, and is not overwritten" in " ".join(err.split())

    def test_what_is_not_as_it_was_is_refused(self, many: Path, tmp_path: Path) -> None:
        out, other = tmp_path / "out.ndjson", tmp_path / "catalogue.json"
        changed = json.loads(CATALOGUE)
        changed["parts"].pop()
        other.write_text(json.dumps(changed), "utf-8")
        run("--many", many, *GRAIN, "--workers", 0, "--out", out)
        before = out.read_bytes()

        def refused(*arguments: Any, file: Path = many) -> str:
            status, _, err = run("--many", file, "--workers", 0, "--out", out, "--resume", *arguments)
            assert (status, out.read_bytes()) == (2, before)
            return " ".join(err.split())

        assert "the parts of the catalogue are not as they were" in refused("--catalogue", other)
        assert "the parts of the catalogue are not as they were" in refused()
        assert "the derivations that are asked for" in refused(*GRAIN, "--derivation", "none")
        many.write_bytes(many.read_bytes() + b" ")
        assert "the panels, the length of the input are not as they were" in refused(*GRAIN)
        many.write_bytes(many.read_bytes()[:-1])
        beside = Path(f"{out}.run.json")
        noted = json.loads(beside.read_bytes())
        beside.write_text(json.dumps({**noted, "engine_version": "0.0.9"}), "utf-8")
        assert "the version of the engine are not" in refused(*GRAIN)
        beside.write_text(json.dumps({**noted, "tables_digests": {}}), "utf-8")
        assert "the tables of the rules" in refused(*GRAIN)
        beside.write_text("[", "utf-8")
        assert "cannot be read" in refused(*GRAIN)
        beside.unlink()
        assert "which says of what, is gone" in refused(*GRAIN)

    def test_results_that_somebody_changed_are_refused(self, many: Path, whole: bytes, tmp_path: Path) -> None:
        out = tmp_path / "out.ndjson"
        run("--many", many, *GRAIN, "--workers", 0, "--out", out)
        each = whole.splitlines(keepends=True)
        for damaged in ([*each[:5], *each[6:]], [*each[:5], b"\n", *each[5:]], [*each, each[0]]):
            out.write_bytes(b"".join(damaged))
            status, _, err = run("--many", many, *GRAIN, "--workers", 0, "--out", out, "--resume")
            assert status == 1
            assert "is not the result of that line; it was changed" in " ".join(err.split())
            assert out.read_bytes() == b"".join(damaged)

    @pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGKILL])
    def test_broken_off_in_the_middle_it_goes_on_to_the_same_bytes(
        self, tmp_path: Path, number: signal.Signals
    ) -> None:
        for count in (2_500, 10_000, 40_000):  # as many as it takes to be still at work when it is struck
            file, out = tmp_path / f"{count}.ndjson", tmp_path / f"{count}.out.ndjson"
            file.write_bytes(b"\n".join(lines(count)) + b"\n")
            arguments = ("--many", file, *GRAIN, "--out", out)
            code, err = struck(number, out, *arguments, "--workers", 2)
            if 0 < out.read_bytes().count(b"\n") < count:
                break
        else:
            raise AssertionError("it was not broken off in the middle")
        if number == signal.SIGINT:
            assert code == 130
            assert "Broken off; the same with --resume goes on with" in err and "Traceback" not in err
        assert run(*arguments, "--workers", 0, "--resume")[0] == 3

        undisturbed = tmp_path / "undisturbed.ndjson"
        run("--many", file, *GRAIN, "--workers", 0, "--out", undisturbed)
        assert out.read_bytes() == undisturbed.read_bytes()

    def test_two_runs_do_not_write_the_same_file(self, tmp_path: Path) -> None:
        file, out = tmp_path / "panels.ndjson", tmp_path / "out.ndjson"
        file.write_bytes(b"\n".join(lines(1_500)))
        with started("--many", file, "--out", out, "--workers", 1) as process:
            assert eventually(lambda: out.exists() and out.stat().st_size > 0)
            status, _, err = run("--many", file, "--out", out, "--workers", 0, "--resume")
            process.kill()

        assert status == 1
        assert "another run writes it at this moment" in " ".join(err.split())


def struck(number: signal.Signals, out: Path, *arguments: object) -> tuple[int, str]:
    """Start the command and signal its group, as a terminal does with Ctrl-C, once it has written something."""
    with started(*arguments) as process:
        assert eventually(lambda: out.exists() and out.stat().st_size > 0)
        os.killpg(process.pid, number)
        _, err = process.communicate(timeout=60)
    return process.returncode, err


@contextmanager
def started(*arguments: object) -> Iterator[subprocess.Popen[str]]:
    command = [sys.executable, "-m", "api", "rate", *map(str, arguments)]
    with subprocess.Popen(
        command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, process_group=0
    ) as process:
        try:
            yield process
        finally:
            process.kill()


def test_on_a_terminal_it_shows_how_far_it_is(tmp_path: Path) -> None:
    file, out = tmp_path / "panels.ndjson", tmp_path / "out.ndjson"
    file.write_bytes(b"\n".join(lines(3_000)))
    terminal, end = pty.openpty()
    command = [sys.executable, "-m", "api", "rate", "--many", str(file), "--out", str(out), "--workers", "0"]
    environment = {**os.environ, "TERM": "xterm", "COLUMNS": "120"}
    shown = b""
    with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=end, env=environment):
        os.close(end)
        while True:
            try:
                shown += os.read(terminal, 4_096)
            except OSError:  # the other end is closed
                break
    os.close(terminal)

    assert b"panels rated, " in shown and b"a second" in shown and b"%" in shown
    assert b"0:00:0" in shown, "the time left"
    assert b"3,000 panels: " in shown
