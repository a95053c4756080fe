"""Bad input: cases derived from the contract, coverage-guided fuzzing of all that reads, and inputs made to hurt."""

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import ExitStack
from contextlib import closing
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from api.access import Role
from api.access import new_key
from api.store import open_store
from tests.api.conftest import ROOT
from tests.api.prepared import fill
from tests.api.running import running
from tests.store.databases import fresh
from tests.store.databases import postgresql
from tests.trust.fuzzed import TARGETS
from tests.trust.hostile import bodies
from tests.trust.hostile import tables
from tests.trust.hostile import targets
from tests.trust.hostile import texts
from tests.trust.hostile import wire
from tests.trust.hostile.attacked import MOST_SECONDS
from tests.trust.hostile.attacked import Attacked
from tests.trust.hostile.attacked import Cost
from tests.trust.hostile.attacked import attacked
from tests.trust.row import Row

AREA = "input"
#: How long each target is fuzzed nightly [s]; and how often it is called otherwise, with the same inputs each time.
FUZZ_SECONDS, FUZZ_RUNS = 300, 2_000
#: The most that a table may cost [s]: of 2 MiB, and nightly of 63; a workbook of 50,000 parts takes as long.
MOST_TABLE_SECONDS = {False: 15.0, True: 60.0}
#: Usually, one in so many of the places where a body is sent, and of the texts.
EVERY = 3
#: Limits of one input: how long libFuzzer waits for it [s], and the memory of the process [MiB].
_INPUT_SECONDS, _INPUT_MEMORY = 20, 1_024
_NOT_RUN = "did not run: is atheris installed (pip install '.[fuzz]')?"
_GENERATED = re.compile(r"([0-9,]+) generated")
_EXECUTED = re.compile(r"stat::number_of_executed_units: ([0-9]+)")
_CRASHED = re.compile(r"(crash|timeout|oom|leak)-[0-9a-f]{40}")


def tried(nightly: bool) -> Iterator[Row]:
    """Yield a row for what schemathesis derives, for each target that is fuzzed, and for each hostile input."""
    yield from derived(nightly)
    yield from fuzzed(list(TARGETS), [f"-max_total_time={FUZZ_SECONDS}" if nightly else f"-runs={FUZZ_RUNS}"])
    yield from hostile(nightly)


def derived(nightly: bool) -> Iterator[Row]:
    """Yield what schemathesis finds on the running service; nightly from every schema, and on both databases."""
    if nightly:
        os.environ["SCCR_THOROUGH"] = "1"
    from tests.api.test_schemathesis import HOOKS
    from tests.api.test_schemathesis import command

    with TemporaryDirectory() as folder:
        for kind in ("sqlite", "postgresql") if nightly else ("sqlite",):
            with _filled(kind, Path(folder)) as (address, key), running(address) as url:
                told = {"cwd": folder, "env": {**os.environ, **HOOKS}}
                found = subprocess.run(command(url, kind, key), capture_output=True, text=True, check=False, **told)
            generated = _GENERATED.search(found.stdout)
            count = int(generated[1].replace(",", "")) if generated else 0
            note = "" if found.returncode == 0 else found.stdout[-500:]
            faults = int(found.returncode != 0 or not count)
            yield Row(AREA, f"schemathesis, all checks, {kind}", count, "requests", faults, note=note)


def fuzzed(names: list[str], flags: list[str], seed: int = 508) -> Iterator[Row]:
    """Yield what atheris finds in targets: errors that are not documented, inputs that take too long or too much."""
    limits = [f"-seed={seed}", f"-timeout={_INPUT_SECONDS}", f"-rss_limit_mb={_INPUT_MEMORY}"]
    with TemporaryDirectory() as folder:
        command = [sys.executable, "-m", "tests.trust.fuzzing", folder, ",".join(names), *limits, *flags]
        subprocess.run(command, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=False)
        for name in names:
            log = Path(folder, name, "log")
            told = log.read_text("utf-8", "replace") if log.exists() else _NOT_RUN
            executed, crashed = _EXECUTED.search(told), _CRASHED.search(told)
            whole = executed is not None and int(executed[1]) > 0 and crashed is None
            note = "" if whole else _why(told)
            yield Row(AREA, f"fuzzed: {name}", int(executed[1]) if executed else 0, "inputs", int(not whole), note=note)


def _why(told: str) -> str:
    """Return what a log says of a fault, and the input, to be kept in `corpus`."""
    error = told.partition("=== Uncaught Python exception: ===")[2].strip().partition("\n")[0]
    return f"{error or told[-200:]} {told.partition('Base64: ')[2].partition(chr(10))[0]}"


def hostile(nightly: bool) -> Iterator[Row]:
    """Yield each hostile input: how often it was sent, the most that it cost, and what was wrong with an answer."""
    with TemporaryDirectory() as folder, attacked(Path(folder)) as service:
        every = 1 if nightly else EVERY
        for way, found in (
            ("body", bodies.tried(service, every)),
            ("table", tables.tried(service, nightly)),
            ("text", texts.tried(service, every)),
        ):
            yield from (_row(way, name, cost, nightly) for name, cost in found)
        yield _log(service)
    with TemporaryDirectory() as folder:
        yield from (_row("webhook", name, cost) for name, cost in targets.tried(Path(folder)))
    with TemporaryDirectory() as folder, attacked(Path(folder), receive_seconds=wire.RECEIVE_SECONDS) as service:
        yield from (_row("wire", name, cost) for name, cost in wire.tried(service))


def _row(way: str, name: str, cost: Cost, nightly: bool = False) -> Row:
    """Return the row of an input."""
    most = MOST_TABLE_SECONDS[nightly] if way == "table" else MOST_SECONDS
    faults = len(cost.faults) + (cost.seconds > most)
    return Row(AREA, f"{way}: {name}", cost.tried, "requests", faults, note=cost.note)


def _log(service: Attacked) -> Row:
    """Return the row of the log: after all of it, each line is one of plain JSON, and none tells of a failure."""
    lines = service.log.read_text("utf-8").splitlines()
    wrong = [line for line in lines if not (line.startswith('{"time"') and line.isascii() and line.isprintable())]
    wrong += [line for line in lines if '"level": "error"' in line]
    return Row(AREA, "log: lines of all that", len(lines), "lines", len(wrong), note=wrong[0][:300] if wrong else "")


@contextmanager
def _filled(kind: str, folder: Path) -> Iterator[tuple[str, str]]:
    """Yield the address of a database with an order in it, a file or a PostgreSQL, and a key of it."""
    with ExitStack() as opened:
        server = opened.enter_context(postgresql()) if kind == "postgresql" else None
        address = opened.enter_context(fresh(server, folder))
        key = new_key(Role.ADMIN)
        with closing(open_store(address)) as store:
            fill(store)
            if server is not None:
                store.add_key(key.prefix, key.hash, key.role.label, "schemathesis")
        yield address, key.text
