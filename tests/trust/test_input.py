"""A little of what `python -m tests.trust input` tries: the same code, few inputs, no clock."""

from pathlib import Path

import pytest

from tests.trust.fuzzed import CORPUS
from tests.trust.fuzzed import TARGETS
from tests.trust.hostile import bodies
from tests.trust.hostile import tables
from tests.trust.hostile import targets
from tests.trust.hostile import texts
from tests.trust.hostile import wire
from tests.trust.hostile.attacked import attacked
from tests.trust.input import fuzzed


@pytest.mark.parametrize("name", TARGETS)
def test_what_is_fuzzed_takes_its_seeds_and_what_was_found_once(name: str) -> None:
    for seed in TARGETS[name].seeds():
        TARGETS[name].read(seed)
        TARGETS[name].read(seed[: len(seed) // 2])
    for kept in (CORPUS / name).glob("*"):
        TARGETS[name].read(kept.read_bytes())


def test_the_corpus_is_of_targets_that_there_are() -> None:
    assert {folder.name for folder in CORPUS.iterdir()} <= set(TARGETS)


def test_the_fuzzer_finds_nothing_in_a_few_hundred_inputs() -> None:
    pytest.importorskip("atheris")
    found = list(fuzzed(["quantities", "parameters", "lines", "panel", "csv"], ["-runs=400"]))
    assert [(row.what, row.note) for row in found if row.faults] == []
    assert all(row.tried >= 400 for row in found)


def test_bodies_are_refused_and_nothing_of_them_is_kept(tmp_path: Path) -> None:
    with attacked(tmp_path) as service:
        found = list(bodies.tried(service, every=10))
    assert [(name, cost.faults) for name, cost in found if cost.faults] == []
    assert sum(cost.tried for _, cost in found) == len(bodies.BODIES)


def test_tables_are_refused_and_nothing_of_them_is_kept(tmp_path: Path) -> None:
    large = ("1 GB", "a size that lies", "as many rows")  # to make them takes longer than to refuse them
    few = {name: made for name, made in tables.TABLES.items() if not any(word in name for word in large)}
    with attacked(tmp_path) as service:
        found = list(tables.tried(service, chosen=few))
    assert [(name, cost.faults) for name, cost in found if cost.faults] == []


def test_texts_are_kept_as_they_are_or_refused(tmp_path: Path) -> None:
    with attacked(tmp_path) as service:
        found = list(texts.tried(service, every=9))
        lines = service.log.read_text("utf-8").splitlines()
    assert [(name, cost.faults) for name, cost in found if cost.faults] == []
    assert all(line.startswith('{"time"') and line.isascii() and line.isprintable() for line in lines)


def test_no_webhook_leads_within(tmp_path: Path) -> None:
    assert [(name, cost.faults) for name, cost in targets.tried(tmp_path) if cost.faults] == []


def test_what_breaks_the_rules_of_http_is_refused_once(tmp_path: Path) -> None:
    with attacked(tmp_path, receive_seconds=wire.RECEIVE_SECONDS) as service:
        assert [(name, cost.faults) for name, cost in wire.tried(service) if cost.faults] == []
