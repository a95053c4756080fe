"""The examples, as they stand, against the service as it is served with the demo catalogue."""

import csv
import json
import os
import shutil
import socket
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.api.running import running

ROOT = Path(__file__).parent.parent
PANELS = ROOT / "fixtures" / "panels"


@pytest.fixture(scope="module")
def environment(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, str]]:
    """What the examples are run in: the address of a service, and the package under the name that it is shipped by."""
    packages = tmp_path_factory.mktemp("packages")
    (packages / "sccr_api").symlink_to(ROOT / "api")
    (packages / "sccr").symlink_to(ROOT / "sccr")
    database = f"sqlite:///{tmp_path_factory.mktemp('data') / 'desk.db'}"
    with running(database, workers=1, catalogue=ROOT / "fixtures" / "catalogue" / "grain.json") as server:
        yield {**os.environ, "PYTHONPATH": str(packages), "SCCR_SERVER": server}


def run(environment: dict[str, str], script: str, *arguments: object) -> tuple[int, str, str]:
    command = [sys.executable, str(ROOT / "examples" / script), *map(str, arguments)]
    found = subprocess.run(command, env=environment, capture_output=True, text=True, timeout=120, check=False)
    return found.returncode, found.stdout, found.stderr


def test_an_order_is_posted_and_its_labels_are_pulled(environment: dict[str, str], tmp_path: Path) -> None:
    files = [PANELS / "all_marked.json", PANELS / "unmarked_contactor.json", PANELS / "slash_rating_on_delta.json"]
    names = [json.loads(file.read_bytes())["panel"]["designation"] for file in files]
    status, out, err = run(environment, "post_order.py", "4711/2", *files)
    told = out.splitlines()

    assert (status, err) == (1, "")
    assert [line.partition(": ")[0] for line in told] == [f"{name} revision 1" for name in names]
    assert told[0].endswith(": 18 kA rms symmetrical, 480Y/277 V maximum")
    assert told[1].endswith(": NOT COVERED: 5 kA, but 9.2 kA is available at MAINS; held by -QA1")
    assert ": WITHHELD: " in told[2]

    status, out, err = run(environment, "pull_labels.py", "4711/2", tmp_path / "labels", "--size", "148x105")

    assert status == 1
    assert [line.partition(":")[0] for line in err.splitlines()] == sorted(names[1:])
    [label] = out.splitlines()
    assert Path(label).name.startswith(f"{names[0]}-")
    assert Path(label).read_bytes().startswith(b"%PDF")


def test_an_order_posted_again_has_a_second_revision(environment: dict[str, str]) -> None:
    first = run(environment, "post_order.py", "4712", PANELS / "all_marked.json")
    second = run(environment, "post_order.py", "4712", PANELS / "all_marked.json")

    assert (first[0], second[0]) == (0, 0)
    assert second[1] == first[1].replace("revision 1", "revision 2")


def test_a_document_that_is_refused_is_told_and_the_others_are_posted(
    environment: dict[str, str], tmp_path: Path
) -> None:
    bad = tmp_path / "bad.json"
    bad.write_text('{"format": "panel/1", "panel": {"designation": "X"}}', "utf-8")
    status, out, err = run(environment, "post_order.py", "4713", bad, PANELS / "all_marked.json")

    assert status == 2
    assert err.startswith(f"{bad}: ") and "/supplies: " in err
    assert "revision 1" in out


def test_a_folder_is_rated_into_a_table(environment: dict[str, str], tmp_path: Path) -> None:
    for file in PANELS.glob("*.json"):
        shutil.copy(file, tmp_path)
    (tmp_path / "bad.json").write_text("{}", "utf-8")
    status, out, err = run(environment, "rate_folder.py", tmp_path)
    rows = {row["file"]: row for row in csv.DictReader(out.splitlines())}

    assert (status, err) == (0, "")
    assert [*rows] == sorted(file.name for file in tmp_path.iterdir())
    assert rows["unmarked_contactor.json"]["rating_amperes"] == "5000"
    assert rows["unmarked_contactor.json"]["limited_by"] == "-QA1"
    assert rows["unmarked_contactor.json"]["least_margin_amperes"] == "-4200"
    assert rows["slash_rating_on_delta.json"]["status"] == "withheld"
    assert rows["slash_rating_on_delta.json"]["rating_amperes"] == ""
    assert rows["bad.json"]["status"] == "refused"
    assert "/supplies " in rows["bad.json"]["problems"]


def test_a_file_that_is_no_json_is_named(environment: dict[str, str], tmp_path: Path) -> None:
    (tmp_path / "bad.json").write_text("{", "utf-8")
    status, _, err = run(environment, "rate_folder.py", tmp_path)

    assert status == 1
    assert "bad.json: " in err


@pytest.mark.parametrize(
    ("script", "arguments"),
    [
        ("post_order.py", ("4713", PANELS / "all_marked.json")),
        ("pull_labels.py", ("4713", "labels")),
        ("rate_folder.py", (PANELS,)),
    ],
)
def test_where_no_service_answers_it_is_told_in_a_line(
    environment: dict[str, str], tmp_path: Path, script: str, arguments: tuple[object, ...]
) -> None:
    with socket.socket() as nobody:  # bound, and not listening: every connection is refused
        nobody.bind(("127.0.0.1", 0))
        address = f"http://127.0.0.1:{nobody.getsockname()[1]}"
        arguments = tuple(tmp_path / "labels" if each == "labels" else each for each in arguments)
        status, _, err = run({**environment, "SCCR_SERVER": address}, script, *arguments)

    assert status == 1
    assert len(err.splitlines()) == 1 and address in err
