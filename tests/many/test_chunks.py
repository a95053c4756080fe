"""Chunks: short at first, never long, each with the parts that it needs."""

import pickle

import pytest

import sccr
from sccr.many.chunks import Chunk
from sccr.many.chunks import as_named
from sccr.many.chunks import chunks_of
from sccr.many.chunks import named_in
from sccr.many.outcome import Outcome

from .panels import CATALOGUE
from .panels import PANELS
from .panels import documents


def sizes(chunks: list[Chunk]) -> list[int]:
    return [len(chunk.documents) for chunk in chunks]


def test_the_first_are_short_and_the_later_ones_have_two_hundred() -> None:
    chunks = list(chunks_of([b"{}"] * 1_000))

    assert sizes(chunks) == [25, 50, 100, 200, 200, 200, 200, 25]
    assert [chunk.first for chunk in chunks] == [1, 26, 76, 176, 376, 576, 776, 976]


def test_none_is_longer_than_a_quarter_of_a_mebibyte_unless_it_is_one_document() -> None:
    long, longer = b" " * 100_000, b" " * 3_000_000

    assert sizes(list(chunks_of([long, long, long, longer, long, {"components": [{}] * 10_000}, long]))) == [
        *(2, 1, 1, 1, 1, 1)
    ]


def test_a_document_alone_keeps_its_place_and_how_it_is_rated() -> None:
    chunk = Chunk(5, (b"a", b"b"), None, "none", 3.0)

    assert list(chunk.alone()) == [Chunk(5, (b"a",), None, "none", 3.0), Chunk(6, (b"b",), None, "none", 3.0)]


def test_a_chunk_has_the_parts_that_it_names_and_the_digest_of_the_whole() -> None:
    whole = sccr.Catalogue.from_document(CATALOGUE)
    named = [document for document in documents(len(PANELS)) if named_in([document])]
    assert named

    for document in named:
        sent = pickle.loads(pickle.dumps(as_named(whole, [document])))
        assert {*sent.parts} == {*named_in([document])} & {*whole.parts}
        assert sent.digest == whole.digest
        assert sccr.rate(document, sent) == sccr.rate(document, whole)


@pytest.mark.parametrize("document", [b"", b"{", b"[1]", "null", b"\xff", b"[" * 10_000, [], {"components": 3}])
def test_what_is_no_document_names_no_part(document: object) -> None:
    assert named_in([document]) == ()  # type: ignore[list-item]


def test_what_has_become_of_one_already_names_no_part() -> None:
    assert named_in([Outcome(1, "refused")]) == ()
