"""Lines out of pieces: the same whatever the pieces, and never more of a line than is read."""

from hypothesis import given
from hypothesis import strategies as st

from sccr.many.lines import groups_of
from sccr.many.lines import lines_in

PIECES = st.lists(st.lists(st.sampled_from([b"a", b"\r", b"\n", b"{}"])).map(b"".join))


@given(PIECES)
def test_the_lines_do_not_depend_on_where_the_pieces_part(pieces: list[bytes]) -> None:
    whole = b"".join(pieces)
    expected = [line.removesuffix(b"\r") for line in whole.split(b"\n")]
    if whole.endswith(b"\n") or not whole:
        expected.pop()
    assert list(lines_in(pieces, 10_000)) == expected


def test_of_a_line_that_is_too_long_a_byte_too_much_is_kept() -> None:
    lines = list(lines_in([b"x" * 700_000] * 10 + [b"\nshort\n"], 5))
    assert [len(line) > 5 for line in lines] == [True, False]
    assert len(lines[0]) <= 7
    assert lines[1] == b"short"


def test_a_line_of_just_the_length_that_is_read_stays_whole() -> None:
    assert list(lines_in([b"12345\r\n123", b"45"], 5)) == [b"12345", b"12345"]


def test_groups_hold_some_lines_or_about_a_mebibyte() -> None:
    assert [len(group) for group in groups_of([b"x"] * 1_001)] == [500, 500, 1]
    assert [len(group) for group in groups_of([b"x" * 2**19] * 5)] == [2, 2, 1]
