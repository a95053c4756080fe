"""Tables that are no list of parts but a load: each is refused early, in one line, with what was right kept apart."""

import pytest

from sccr.schema.exchange import CSV
from sccr.schema.exchange import ImportResult
from sccr.schema.exchange import import_table

MEBIBYTE = 2**20
HEAD = b"part,kind,description\n"


def filled(line: bytes, size: int) -> bytes:
    return line * (size // len(line))


def told(result: ImportResult) -> list[tuple[int, str | None, str]]:
    return [(problem.line, problem.column, problem.code) for problem in result.problems]


@pytest.mark.parametrize("line", [b"a", b",", b'"', b'""', b'","', b"a,", "é".encode(), b"\0"])
@pytest.mark.parametrize(("head", "number"), [(b"", 1), (HEAD, 2)], ids=["header", "row"])
def test_a_line_without_an_end_is_told_once(head: bytes, number: int, line: bytes) -> None:
    """As a header it was an error of the csv module that nobody caught; as a row it became a list of 64 million."""
    assert told(import_table(head + filled(line, 3 * MEBIBYTE), CSV))[-1:] == [(number, None, "row-too-long")]


def test_a_row_of_many_lines_is_as_long_as_they_are_together() -> None:
    assert told(import_table(HEAD + filled(b'"\n",', 2 * MEBIBYTE), CSV)) == [(2, None, "row-too-long")]


def test_a_row_of_a_mebibyte_is_read() -> None:
    cells = b",".join([b"x" * 1_000] * 1_000)
    result = import_table(HEAD + cells + b"\n", CSV)
    assert result.rows == 1
    assert {code for _, _, code in told(result)} >= {"not-an-id", "no-column"}


@pytest.mark.parametrize("end", [b"\n", b"\r", b"\r\n"])
def test_empty_lines_are_counted_too(end: bytes) -> None:
    """64 MiB of them took two minutes and a half."""
    assert told(import_table(HEAD + filled(end, 3 * MEBIBYTE), CSV)) == [(250_001, None, "too-many-rows")]


def test_cells_are_counted_though_they_are_empty() -> None:
    result = import_table(HEAD + filled(b"," * 999 + b"\n", 3 * MEBIBYTE), CSV)
    assert told(result) == [(2_501, None, "too-many-cells")]


def test_of_many_rows_that_are_none_the_first_are_told() -> None:
    found = told(import_table(HEAD + filled(b'"a"b\n', MEBIBYTE), CSV))
    assert [code for _, _, code in found] == ["not-csv"] * 10_000 + ["too-many-problems"]
    assert found[-1] == (10_002, None, "too-many-problems")


def test_of_many_bad_cells_the_first_are_told() -> None:
    result = import_table(HEAD + filled(b"=1,=2,=3\n", MEBIBYTE), CSV)
    assert result.rows < 10_000
    assert len(result.problems) < 20_000
    assert (3_336, None, "too-many-problems") in told(result)


def test_what_is_repeated_of_a_cell_prints() -> None:
    result = import_table(b"part,kind\nF\xff\0\x1b[31m\xe2\x80\xae,fuse\n", CSV)
    [problem, *_] = [problem for problem in result.problems if problem.code == "not-utf-8"]
    assert problem.detail.isprintable()
    assert "\\x1b[31m\\u202e" in problem.detail


@pytest.mark.parametrize("body", [b"kind\nfuse\n", b"a\n1\n", b"part\nF\n"])
def test_without_a_column_that_each_part_needs_no_row_is_right(body: bytes) -> None:
    """Trying such a table out ended in a failure: its rows were taken for parts."""
    result = import_table(body, CSV)
    assert result.parts == ()
    assert "missing-column" in [code for _, _, code in told(result)]


def test_what_was_not_read_for_so_many_problems_is_no_part() -> None:
    rows = b"".join(b"F%d,fuze,x\n" % number for number in range(10_100)) + b"G,fuse,x\n"
    result = import_table(HEAD + rows, CSV)
    assert result.parts == ()
    assert told(result)[-1] == (10_002, "kind", "too-many-problems")
