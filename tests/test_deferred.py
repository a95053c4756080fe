"""A rating whose explanation is made when it is read cannot be told from one that was given it."""

import copy
import dataclasses
import gc
import pickle
import weakref
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest

import sccr
from sccr.deferred import Deferred
from sccr.report.as_json import as_json
from tests.oracle.panels import random_panel

SEEDS = range(80_000, 80_080)
FIELDS = [field.name for field in dataclasses.fields(sccr.Rating)]


def unread(seed: int) -> sccr.Rating:
    return sccr.rate(random_panel(seed))


def eager(seed: int) -> sccr.Rating:
    rating = unread(seed)
    return sccr.Rating(**{name: getattr(rating, name) for name in FIELDS})


def test_it_compares_and_reads_as_one_that_was_given_every_field() -> None:
    for seed in SEEDS:
        given = eager(seed)
        assert unread(seed) == given and given == unread(seed), seed
        assert repr(unread(seed)) == repr(given), seed
        assert as_json(unread(seed)) == as_json(given), seed
        assert all(getattr(unread(seed), name) == getattr(given, name) for name in FIELDS), seed


def test_it_is_copied_replaced_and_sent_between_processes_unread() -> None:
    for seed in SEEDS:
        given = eager(seed)
        assert pickle.loads(pickle.dumps(unread(seed))) == given, seed
        assert copy.copy(unread(seed)) == copy.deepcopy(unread(seed)) == given, seed
        assert dataclasses.replace(unread(seed), status="other") == dataclasses.replace(given, status="other")


def test_it_is_as_frozen_and_as_little_hashable() -> None:
    rating = unread(80_000)

    with pytest.raises(dataclasses.FrozenInstanceError):
        rating.derivation = ()  # type: ignore[misc]
    for one in (rating, eager(80_000)):
        with pytest.raises(TypeError):
            hash(one)
        with pytest.raises(AttributeError):
            _ = one.no_such_field


@dataclasses.dataclass(frozen=True, slots=True)
class Record(Deferred):
    name: str
    length: int
    letters: tuple[str, ...]


def deferred(calls: list[str]) -> Record:
    def letters(record: Record) -> tuple[str, ...]:
        calls.append("letters")
        return tuple(record.name)

    return Record.deferred({"letters": letters, "length": lambda record: len(record.letters)}, name="KM1")


def test_a_field_is_made_once_and_from_others() -> None:
    calls: list[str] = []
    record = deferred(calls)
    assert (record.name, calls) == ("KM1", [])

    assert (record.length, record.letters, record.letters) == (3, ("K", "M", "1"), ("K", "M", "1"))
    assert calls == ["letters"]
    assert record == Record("KM1", 3, ("K", "M", "1"))
    assert hash(record) == hash(Record("KM1", 3, ("K", "M", "1")))


def test_a_maker_that_fails_fails_whenever_the_field_is_read() -> None:
    def fails(_: Any) -> int:
        raise LookupError("no length")

    record = Record.deferred({"length": fails}, name="KM1", letters=())

    for _ in range(2):
        with pytest.raises(LookupError, match="no length"):
            _ = record.length


def test_what_a_maker_holds_on_to_goes_once_all_is_made() -> None:
    class Source:
        """Something large."""

    source = Source()
    held = weakref.ref(source)
    makers = {"length": lambda _, source=source: 1, "letters": lambda _, source=source: ()}
    record = Record.deferred(makers, name="KM1")
    del source, makers
    assert held() is not None

    assert (record.length, record.letters) == (1, ())
    gc.collect()
    assert held() is None


def test_threads_that_read_at_once_read_the_same() -> None:
    with ThreadPoolExecutor(8) as pool:
        for seed in SEEDS[:10]:
            rating, expected = unread(seed), as_json(eager(seed))
            assert set(pool.map(lambda _, rating=rating: as_json(rating), range(16))) == {expected}, seed
