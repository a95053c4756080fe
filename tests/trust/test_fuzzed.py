"""A little of the fuzzing that `python -m tests.trust input` does: the same code, few inputs, always the same."""

import pytest

from tests.trust.fuzzed import CORPUS
from tests.trust.fuzzed import TARGETS
from tests.trust.input import fuzzed


@pytest.mark.parametrize("name", TARGETS)
def test_a_target_takes_its_seeds_and_what_was_found_once(name: str) -> None:
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
