"""The commands of the order desk as people and scripts call them, against the service as it is served."""

import csv
import json
import time
from collections.abc import Callable
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from click.testing import Result

from api.access import Role
from api.access import new_key
from api.command_line import main
from api.command_line import stored
from tests.api.prepared import BREAKER
from tests.api.prepared import CONTACTOR
from tests.api.prepared import DESIGNATION
from tests.api.prepared import ELEVATOR
from tests.api.prepared import ORDER
from tests.api.prepared import RECORDS
from tests.api.prepared import prepared_store
from tests.api.running import running

TARGET = "http://127.0.0.1:9"


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, dict[str, str]]]:
    """The address of a service with an order in it, and keys: one that may everything, one that may only read."""
    folder = tmp_path_factory.mktemp("served")
    keys = {role.label: new_key(role) for role in (Role.READ, Role.ADMIN)}
    with closing(prepared_store(folder)) as store:
        for role, key in keys.items():
            store.add_key(key.prefix, key.hash, role, role)
    settings = {"workers": 1, "threads": 4, "webhook_targets": [TARGET], "webhook_attempts": 1}
    with running(f"sqlite:///{folder / 'prepared.db'}", **settings) as url:
        yield url, {role: key.text for role, key in keys.items()}


@pytest.fixture(autouse=True)
def told(served: tuple[str, dict[str, str]], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SCCR_SERVER", served[0])
    monkeypatch.setenv("SCCR_KEY", served[1]["admin"])


def run(*arguments: object, given: str | bytes | None = None) -> Result:
    return CliRunner().invoke(main, [str(each) for each in arguments], input=given)


def answer(*arguments: object) -> Any:
    found = run(*arguments, "--format", "json")
    assert found.exit_code == 0, found.stderr
    return json.loads(found.stdout)


def lines(*arguments: object) -> list[Any]:
    found = run(*arguments, "--format", "json")
    assert found.exit_code == 0, found.stderr
    return [json.loads(line) for line in found.stdout.splitlines()]


def etag(found: Result) -> str:
    return found.stderr.rpartition("ETag ")[2].strip()


def written(folder: Path, order: str, designation: str = DESIGNATION, **more: Any) -> Path:
    panel = {**ELEVATOR["panel"], "order": order, "designation": designation}
    file = folder / f"{designation}.json"
    file.write_text(json.dumps({**ELEVATOR, "panel": panel, **more}), "utf-8")
    return file


class TestOrders:
    def test_a_panel_is_put_and_put_again_and_told_as_sccr_rate_tells_one(self, tmp_path: Path) -> None:
        file = written(tmp_path, "TO-1")
        first, second = run("order", "put", "TO-1", file), run("order", "put", "TO-1", file)

        assert (first.exit_code, second.exit_code) == (0, 0)
        assert first.stdout.startswith("order TO-1, ELV-02  revision 1  18 kA")
        assert "RATED  18 kA rms symmetrical, 480Y/277 V maximum" in first.stdout
        assert "revision 2" in second.stdout
        assert etag(first) != etag(second)

    def test_of_a_state_that_is_no_more_nothing_is_changed(self, tmp_path: Path) -> None:
        file = written(tmp_path, "TO-2")
        stale = etag(run("order", "put", "TO-2", file, "--new"))
        fresh = etag(run("order", "put", "TO-2", file, "--if-match", stale.strip('"')))
        for condition in (("--if-match", stale), ("--new",)):
            refused = run("order", "put", "TO-2", file, *condition)
            assert (refused.exit_code, refused.stdout) == (1, "")
            assert "(412)" in refused.stderr and "Somebody was faster: nothing was changed" in refused.stderr
        assert [each["revision"] for each in lines("order", "history", "TO-2", DESIGNATION)] == [2, 1]
        assert run("order", "put", "TO-2", file, "--if-match", fresh).exit_code == 0
        assert run("order", "put", "TO-2", file, "--if-match", fresh, "--new").exit_code == 2

    def test_every_error_of_a_document_is_told_with_its_place(self, tmp_path: Path) -> None:
        supply = {**ELEVATOR["supplies"][0], "voltage": "480"}
        odd = [{"id": "-FC1", "part": "RYE-3P-51", "fed_from": "MAINS"}]
        refused = run("order", "put", "TO-3", written(tmp_path, "TO-3", supplies=[supply]))
        unknown = run("order", "put", "TO-3", written(tmp_path, "TO-3", components=odd))

        assert (refused.exit_code, refused.stdout, unknown.exit_code) == (2, "", 2)
        assert "  /supplies/0/voltage: " in refused.stderr and '"480 V"' in refused.stderr
        assert "  /components/0/part: " in unknown.stderr and "RYE-3P-15" in unknown.stderr
        assert "\nrequest " in refused.stderr

    @pytest.mark.parametrize("text", ["{", "[]", "{}", '{"panel": {"designation": 7}}'])
    def test_what_says_not_which_panel_it_is_is_not_sent(self, text: str) -> None:
        refused = run("order", "put", "TO-3", "-", given=text)

        assert (refused.exit_code, refused.stdout) == (2, "")
        assert "-: " in refused.stderr

    def test_a_withheld_panel_is_stored_and_told_by_the_status(self, tmp_path: Path) -> None:
        delta = {**ELEVATOR["supplies"][0], "voltage": "480 V", "system": "ungrounded_delta"}
        put = run("order", "put", "TO-4", written(tmp_path, "TO-4", supplies=[delta]))

        assert put.exit_code == 3
        assert "revision 1  withheld" in put.stdout
        assert run("order", "rating", "TO-4", DESIGNATION).exit_code == 3
        plate = run("order", "nameplate", "TO-4", DESIGNATION)
        assert (plate.exit_code, plate.stdout) == (1, "")
        assert "The rating is withheld" in plate.stderr

    def test_a_document_that_is_got_is_one_that_can_be_put(self, tmp_path: Path) -> None:
        got = run("order", "get", ORDER, DESIGNATION, "--document", "--revision", 1)
        (tmp_path / "got.json").write_text(got.stdout, "utf-8")

        assert json.loads(got.stdout) == ELEVATOR
        assert answer("order", "put", ORDER, tmp_path / "got.json")["revision"] == 3
        assert answer("order", "get", ORDER, DESIGNATION, "--revision", 1)["record"] == RECORDS[0]

    def test_a_rating_as_it_was_given(self) -> None:
        old = run("order", "rating", ORDER, DESIGNATION, "--revision", 1, "--derivation")

        assert "RATED  5 kA" in old.stdout and "Derivation" in old.stdout
        assert answer("order", "rating", ORDER, DESIGNATION, "--revision", 2)["rating"]["current"] == "18 kA"
        assert run("order", "rating", ORDER, DESIGNATION, "--format", "markdown").stdout.startswith("# ")

    def test_two_revisions_are_compared(self) -> None:
        found = run("order", "compare", ORDER, DESIGNATION, "--from", 1, "--to", 2)

        assert found.exit_code == 0
        assert "-QA1, which held it, goes from 5000 A to 18000 A" in found.stdout
        assert answer("order", "compare", ORDER, DESIGNATION, "--to", 2)["difference_amperes"] == 13_000

    def test_lists(self) -> None:
        assert ORDER in [each["order"] for each in lines("order", "list", "--text", "TO-24")]
        assert [each["designation"] for each in lines("order", "list", ORDER)] == [DESIGNATION]
        assert f"{ORDER}  1 panel, last changed" in run("order", "list").stdout
        assert run("order", "list", ORDER, "--text", "TO").exit_code == 2

    def test_a_revision_is_shipped(self, tmp_path: Path) -> None:
        run("order", "put", "TO-5", written(tmp_path, "TO-5"))

        assert answer("order", "ship", "TO-5", DESIGNATION, 1)["shipped_at"]
        assert ", shipped 20" in run("order", "history", "TO-5", DESIGNATION).stdout
        assert run("order", "ship", "TO-5", DESIGNATION, 7).exit_code == 1

    def test_what_is_not_there(self) -> None:
        for arguments in (("get", "TO-0", "X"), ("get", ORDER, DESIGNATION, "--revision", 99), ("list", "TO-0")):
            refused = run("order", *arguments)
            assert (refused.exit_code, refused.stdout) == (1, ""), arguments
            assert "(404)" in refused.stderr
        assert run("order", "get", "..", "X").exit_code == 2


class TestPapers:
    @pytest.mark.parametrize(
        ("name", "start"), [("a.pdf", b"%PDF"), ("a.png", b"\x89PNG"), ("a.svg", b"<"), ("a.json", b"{")]
    )
    def test_nameplates(self, tmp_path: Path, name: str, start: bytes) -> None:
        output = tmp_path / name
        found = run("order", "nameplate", ORDER, DESIGNATION, "-o", output, "--revision", 2, "--size", "148x105")

        assert (found.exit_code, found.output) == (0, "")
        assert output.read_bytes().startswith(start)
        assert run("records", "nameplate", RECORDS[1], "-o", output, "--size", "148x105").exit_code == 0

    @pytest.mark.parametrize(("name", "start"), [("a.pdf", b"%PDF"), ("a.html", b"<!"), ("a.md", b"# ")])
    def test_reports(self, tmp_path: Path, name: str, start: bytes) -> None:
        output = tmp_path / name

        assert run("order", "report", ORDER, DESIGNATION, "-o", output, "--paper", "letter").exit_code == 0
        assert output.read_bytes().startswith(start)
        assert run("records", "report", RECORDS[0], "-o", output, "--symbols", "iec").exit_code == 0

    def test_a_terminal_gets_text_and_nothing_binary(self, monkeypatch: pytest.MonkeyPatch) -> None:
        assert run("order", "report", ORDER, DESIGNATION).stdout.startswith("# ")
        assert json.loads(run("records", "nameplate", RECORDS[1]).stdout)["format"] == "nameplate/1"
        pdf = ("order", "report", ORDER, DESIGNATION, "--as", "pdf")
        assert run(*pdf).stdout_bytes.startswith(b"%PDF")
        monkeypatch.setattr("api.command_line.desk._is_terminal", lambda: True)
        refused = run(*pdf)
        assert (refused.exit_code, refused.stdout) == (2, "")
        assert "-o" in refused.stderr

    def test_an_ending_that_is_none_and_a_size_that_is_too_small(self, tmp_path: Path) -> None:
        assert ".svg" in run("order", "nameplate", ORDER, DESIGNATION, "-o", tmp_path / "a.docx").stderr
        small = run("order", "nameplate", ORDER, DESIGNATION, "-o", tmp_path / "a.pdf", "--size", "30x18")
        assert small.exit_code == 2
        assert "/query/size" in small.stderr
        assert list(tmp_path.iterdir()) == []

    def test_a_rating_of_another_version_can_still_be_had(self) -> None:
        with pytest.raises(Exception, match="--format json"):
            stored.print_rating({**ELEVATOR, "status": "rated"}, "text")


class TestParts:
    def test_a_part_is_put_read_changed_and_deleted(self, tmp_path: Path) -> None:
        file = tmp_path / "part.json"
        file.write_text(json.dumps({**BREAKER, "part": "OAT/3P 20%"}), "utf-8")
        first = run("parts", "put", file, "--new")
        got = run("parts", "get", "OAT/3P 20%", "--format", "json")

        assert (first.exit_code, etag(first)) == (0, etag(got))
        assert "interrupting_ratings  current 22 kA, voltage 480Y/277 V" in first.stdout
        assert json.loads(got.stdout) == json.loads(file.read_text("utf-8"))
        file.write_text(json.dumps({**BREAKER, "part": "OAT/3P 20%", "description": "Oat"}), "utf-8")
        assert run("parts", "put", file, "--new").exit_code == 1
        assert run("parts", "put", file).exit_code == 0
        assert "(412)" in run("parts", "put", file, "--if-match", etag(first)).stderr
        assert "(412)" in run("parts", "delete", "OAT/3P 20%", "--if-match", etag(first)).stderr
        assert run("parts", "delete", "OAT/3P 20%").exit_code == 0
        assert run("parts", "delete", "OAT/3P 20%").exit_code == 1
        assert run("parts", "get", "OAT/3P 20%").exit_code == 1

    def test_a_part_that_is_none_is_told(self, tmp_path: Path) -> None:
        file = tmp_path / "part.json"
        file.write_text(json.dumps({**BREAKER, "part": "OAT", "kind": "contator"}), "utf-8")

        assert "/kind: " in run("parts", "put", file).stderr
        assert run("parts", "put", file).exit_code == 2
        assert "/part: " in run("parts", "put", "-", given="{}").stderr

    def test_search(self) -> None:
        found = lines(
            "parts", "search", "--kind", "circuit_breaker", "--voltage", "480Y/277 V", "--interrupting", "18 kA"
        )

        assert BREAKER["part"] in [part["part"] for part in found]
        assert CONTACTOR["part"] not in [part["part"] for part in found]
        assert "RYE-3P-15  circuit_breaker  15 A  3 poles  Branch breaker" in run("parts", "search").stdout
        wrong = run("parts", "search", "--interrupting", "18", "--kind", "contator")
        assert wrong.exit_code == 2
        assert "/query/interrupting: " in wrong.stderr and "/query/kind: " in wrong.stderr

    @pytest.mark.parametrize("ending", ["csv", "xlsx", "json"])
    def test_what_is_exported_comes_back_unchanged(self, tmp_path: Path, ending: str) -> None:
        table = tmp_path / f"parts.{ending}"

        assert run("parts", "export", "-o", table, "--version", 2).exit_code == 0
        report = answer("parts", "import", table, "--dry-run")
        assert (report["valid"], report["rows"], report["added"], report["changed"]) == (True, 2, 0, 0)

    def test_every_bad_row_is_told_by_line_and_column(self, tmp_path: Path) -> None:
        table = tmp_path / "parts.csv"
        table.write_text("part,kind,ampere_rating\nA-1,circuit_braker,20 A\nA-2,circuit_breaker,20\n", "utf-8")
        dry, earnest = run("parts", "import", table, "--dry-run"), run("parts", "import", table)

        assert (dry.exit_code, earnest.exit_code) == (2, 2)
        assert "2 rows, 2 wrong" in dry.stdout
        assert "  line 2, kind: " in dry.stderr and "  line 3, ampere_rating: " in dry.stderr
        assert "/2/kind: " in earnest.stderr and "/3/ampere_rating: " in earnest.stderr
        assert run("parts", "get", "A-2").exit_code == 1

    def test_an_import_makes_a_version(self, tmp_path: Path) -> None:
        table = tmp_path / "parts.csv"
        table.write_text("part,kind,ampere_rating\nB-1,circuit_breaker,20 A\n", "utf-8")
        done = run("parts", "import", table, "--note", "Larger breakers")

        assert done.exit_code == 0
        assert done.stdout.startswith(
            "1 rows: 1 added, 0 changed, 0 removed, 0 unchanged; the catalogue is at version "
        )
        assert lines("parts", "versions")[0]["note"] == "Larger breakers"
        exported = run("parts", "export").stdout_bytes.decode("utf-8-sig")
        assert "B-1" in [row["part"] for row in csv.DictReader(exported.splitlines())]
        assert "(412)" in run("parts", "import", table, "--if-match", "stale").stderr


class TestRecords:
    def test_records(self, tmp_path: Path) -> None:
        assert [each["id"] for each in lines("records", "list", "--order", ORDER)][:2] == list(RECORDS)
        assert answer("records", "get", RECORDS[0])["document"] == ELEVATOR
        assert "RATED  5 kA" in run("records", "get", RECORDS[0]).stdout
        kept = run("records", "keep", written(tmp_path, "TO-6"))
        assert kept.exit_code == 0
        assert kept.stdout.partition("  ")[0] in run("records", "list").stdout
        assert run("records", "get", "01JJY0M8TT9CQ8Z5B2W7E4R6K9").exit_code == 1


class TestBatches:
    def test_files_and_lines_in_their_order(self, tmp_path: Path) -> None:
        (tmp_path / "more.ndjson").write_text(f"{json.dumps(ELEVATOR)}\r\n{{\n", "utf-8")
        posted = run(
            "batch", "post", written(tmp_path, "TO-7", "ELV-7"), tmp_path / "more.ndjson", "--record", "--wait"
        )
        assert (posted.exit_code, posted.stderr) == (0, "")
        id, _, told = posted.stdout.partition("  ")
        results = lines("batch", "results", id)
        text = run("batch", "results", id).stdout

        assert told.startswith("done, 3 of 3 lines done, 1 of them not rated, 20")
        assert [each.get("status") for each in results] == [200, 200, 400]
        assert text.startswith("     1  ELV-7  18 kA rms symmetrical, 480Y/277 V maximum  record 01")
        assert "     3  The body is not JSON: The line cannot be read: not JSON" in text
        assert run("batch", "results", id, "--after", 2, "-o", tmp_path / "results.txt").stdout == ""
        assert (tmp_path / "results.txt").read_text("utf-8").startswith("     3  ")
        assert answer("batch", "status", id)["failed"] == 1
        assert id in [each["id"] for each in lines("batch", "list", "--state", "done")]
        assert answer("batch", "cancel", id)["state"] == "done"

    def test_a_batch_that_is_cancelled_is_no_success(self) -> None:
        given = (json.dumps(ELEVATOR) + "\n") * 2_000
        posted = run("batch", "post", "-", given=given)
        id = posted.stdout.partition("  ")[0]

        assert (posted.exit_code, run("batch", "cancel", id).exit_code) == (0, 0)
        ended = run("batch", "status", id, "--wait")
        assert ended.exit_code == 1
        assert "cancelled" in ended.stdout

    def test_a_file_that_is_no_json_sends_nothing(self, tmp_path: Path) -> None:
        (tmp_path / "bad.json").write_text("{", "utf-8")
        before = len(lines("batch", "list"))
        refused = run("batch", "post", tmp_path / "bad.json")

        assert refused.exit_code == 2
        assert "bad.json: " in refused.stderr
        assert run("batch", "post", tmp_path / "none.ndjson").exit_code == 2
        assert len(lines("batch", "list")) == before


class TestWebhooks:
    def test_a_webhook_and_what_becomes_of_its_messages(self) -> None:
        made = run("webhooks", "create", f"{TARGET}/told", "--event", "batch.ended")
        assert made.exit_code == 0
        assert made.stdout.startswith("whsec_") and made.stdout.strip() not in made.stderr
        [hook] = lines("webhooks", "list")
        run("batch", "post", "-", "--wait", given="{}\n")
        dead = eventually(lambda: lines("webhooks", "dead-letters", "--webhook", hook["id"]))
        again = run("webhooks", "retry", dead[0]["id"])

        assert again.exit_code == 0
        assert again.stdout.startswith(dead[0]["id"])
        assert "batch.ended" in run("webhooks", "deliveries").stdout
        assert run("webhooks", "delete", hook["id"]).exit_code == 0
        assert lines("webhooks", "list") == []
        assert run("webhooks", "delete", hook["id"]).exit_code == 1

    def test_a_target_that_is_not_allowed_and_an_event_that_is_none(self) -> None:
        refused = run("webhooks", "create", "http://127.0.0.1:10/", "--event", "batch.end")

        assert refused.exit_code == 2
        assert "/url: " in refused.stderr and 'did you mean "batch.ended"?' in refused.stderr


def eventually(found: Callable[[], list[Any]]) -> list[Any]:
    ends = time.monotonic() + 60
    while time.monotonic() < ends:
        if some := found():
            return some
        time.sleep(0.05)
    raise AssertionError("nothing came")


class TestTheService:
    def test_the_key_is_not_among_the_arguments(self) -> None:
        assert run("order", "list", "--key", "sccr_r_x").exit_code == 2

    def test_no_key_and_one_of_a_role_that_may_not(
        self, served: tuple[str, dict[str, str]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setenv("SCCR_KEY", served[1]["read"] + "\n")
        refused = run("order", "put", "TO-8", written(tmp_path, "TO-8"))
        assert run("order", "list").exit_code == 0
        monkeypatch.delenv("SCCR_KEY")
        unknown = run("order", "list")
        monkeypatch.setenv("SCCR_KEY", "schlüssel")

        assert (refused.exit_code, unknown.exit_code, run("order", "list").exit_code) == (1, 1, 2)
        assert "(403)" in refused.stderr and "rate" in refused.stderr
        assert "(401)" in unknown.stderr and "SCCR_KEY" in unknown.stderr

    def test_where_no_service_is(self) -> None:
        refused = run("order", "list", "--server", "http://127.0.0.1:9")

        assert refused.exit_code == 1
        assert refused.stderr.startswith("Error: http://127.0.0.1:9 does not answer")
        assert "nowhere" in run("order", "list", "--server", "nowhere").stderr
