"""A dry run: every bad row of a file by line and column."""

from time import process_time
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sccr.schema.exchange import CSV
from sccr.schema.exchange import ImportResult
from sccr.schema.exchange import UnsupportedTable
from sccr.schema.exchange import import_table
from sccr.schema.exchange.columns import PART_COLUMNS
from sccr.schema.exchange.table import MOST_ROWS

Told = list[tuple[int, str | None, str]]


def read(*lines: str) -> ImportResult:
    return import_table("\n".join(lines).encode(), "parts.csv")


def told(result: ImportResult) -> Told:
    return [(problem.line, problem.column, problem.code) for problem in result.problems]


def test_every_bad_row_is_told_by_line_and_column_at_once() -> None:
    result = read(
        "part,kind,poles,ampere_rating,interrupting_ratings,short_circuit_ratings,price,colour,transformer.phases,stock",
        "OAT-1,circuit_breaker,3,30 A,35 kA @ 480 V,,12.50,,,4",
        "OAT-2,circuit_braker,three,30,35 kA @ 480 V,,12.50,,,",
        "",
        'OAT-1,circuit_breaker,9,30 A,65 @ 480 V; 35 kA @ 240 W,5 kA @ 600 V,"12,50",,,-1',
        ",fuse,,,35 kA,,,,,",
        "OAT-4,contactor,,,,100 kA @ 480 V behind fuse J,,red,,,extra",
        "OAT-5,transformer,,,,,,,2,",
        "OAT-6,fuse,1,30 A,200 kA @ 600 V,,,,,",
    )

    assert told(result) == [
        (1, "colour", "unknown-column"),
        (3, "kind", "unknown-kind"),
        (3, "poles", "not-an-integer"),
        (3, "ampere_rating", "not-a-quantity"),
        (5, "part", "duplicate-part"),
        (5, "poles", "out-of-range"),
        (5, "interrupting_ratings", "not-a-quantity"),
        (5, "interrupting_ratings", "wrong-dimension"),
        (5, "short_circuit_ratings", "not-applicable"),
        (5, "price", "not-a-price"),
        (5, "stock", "out-of-range"),
        (6, "part", "required"),
        (6, "interrupting_ratings", "not-a-rating"),
        (7, "short_circuit_ratings", "required"),
        (7, None, "no-column"),
        (8, "transformer.phases", "out-of-range"),
    ]
    assert ([part["part"] for part in result.parts], result.lines, result.rows) == (["OAT-1", "OAT-6"], (2, 9), 7)


def test_a_problem_says_where_in_the_cell_it_is_and_what_to_write() -> None:
    result = read(
        "part,kind,series_ratings,colr,kidn",
        "OAT-1,circuit_breaker,25 kA @ 480 V behind breaker B-1; 65 kA @ 480 V behind fuse J max 30,,",
        "OAT-1,circuit_braker,,,",
    )
    details = [problem.detail for problem in result.problems]
    assert details[1].endswith('did you mean "kind"?')
    assert details[2].startswith('entry 2, line_side.max_ampere_rating: "30" has no unit')
    assert details[3] == "is the part of line 2 as well; keep one"
    assert details[4].endswith('did you mean "circuit_breaker"?')
    assert result.problems[2].as_dict() == {
        "line": 2,
        "column": "series_ratings",
        "code": "not-a-quantity",
        "detail": details[2],
    }


def test_an_entry_of_a_list_that_goes_on_is_told_in_its_own_column() -> None:
    result = read(
        "part,kind,interrupting_ratings,interrupting_ratings 2", "F,fuse,1 kA @ 9 V;2 kA @ 9 V,3 kA @ 9 V;4 @ 9 V"
    )
    (problem,) = result.problems
    assert (problem.column, problem.detail[:16]) == ("interrupting_ratings 2", "entry 2, current")


def test_a_table_without_its_first_columns_says_so_once() -> None:
    result = read("article,description", *["x,y"] * 100)
    assert told(result) == [
        (1, "article", "unknown-column"),
        (1, "part", "missing-column"),
        (1, "kind", "missing-column"),
    ]
    assert result.parts == ()


def test_a_column_that_is_no_list_stands_once() -> None:
    result = read("part,kind,poles,Poles,stock 2", "F,fuse,1,2,3")
    assert told(result) == [(1, "Poles", "duplicate-column"), (1, "stock 2", "duplicate-column")]


def test_a_field_is_not_said_twice() -> None:
    result = read("part,kind,price,price_number", "F,fuse,12.50,12.5", "G,fuse,,12.5", "H,fuse,12.50,")
    assert told(result) == [(2, "price_number", "contradiction")]
    assert [part["price"] for part in result.parts] == [12.5, "12.50"]


@pytest.mark.parametrize(
    ("cell", "code"),
    [
        ("json:null", "null"),
        ("json:5", "not-a-list"),
        ('json:[{"voltage": 480}]', "not-a-quantity"),
        ("json:NaN", "not-json"),
    ],
)
def test_json_in_a_cell_is_judged_like_any_other(cell: str, code: str) -> None:
    quoted = cell.replace('"', '""')
    result = read("part,kind,interrupting_ratings", f'F,fuse,"{quoted}"')
    assert (2, "interrupting_ratings", code) in told(result)


@pytest.mark.parametrize("value", ["[]", "{}", '["F"]', "5", "null", "true"])
@pytest.mark.parametrize("column", [column.name for column in PART_COLUMNS])
def test_no_value_of_json_is_more_than_a_problem(column: str, value: str) -> None:
    quoted = value.replace('"', '""')
    result = read(f"part,kind,transformer.kva,{column}", f'F,transformer,5 kVA,"json:{quoted}"', f',,,"json:{quoted}"')
    assert 3 in {problem.line for problem in result.problems}
    assert result.rows == 2


def test_bytes_that_are_no_utf_8_are_told_where_they_are() -> None:
    head = b"part,kind,let_through\nF,circuit_breaker,65 kA: 21 kA peak @ 9 V\n"
    result = import_table(head + 'G,fuse,"65 kA: 21 kA peak, 9 kA²s @ 9 V"\n'.encode("latin-1"), "parts.csv")
    assert told(result) == [(3, "let_through", "not-utf-8")]
    assert "9 kA\ufffds" in result.problems[0].detail


def test_a_fault_of_quoting_costs_its_own_line_only() -> None:
    result = read("part,kind", 'F"1,fuse', '"F"2,fuse', "F3,fuse", '"F,4","fuse"', '"F5,fuse', "F6,fuse")
    assert told(result) == [(3, None, "not-csv"), (6, None, "not-csv")]
    assert [part["part"] for part in result.parts] == ['F"1', "F3", "F,4"]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_delimiters_line_ends_and_byte_order_marks_do_not_matter(delimiter: str, end: str, mark: str) -> None:
    lines = [("part", "kind", "poles"), ("F;1, 2", "fuse", "1"), ("F2", "fuse", "x")]
    text = end.join(delimiter.join(f'"{cell}"' for cell in line) for line in lines)
    result = import_table((mark + text).encode(), "parts.csv")
    assert told(result) == [(3, "poles", "not-an-integer")]
    assert result.parts == ({"part": "F;1, 2", "kind": "fuse", "poles": 1},)


def test_a_file_may_state_its_delimiter() -> None:
    result = read("sep=;", "part;kind", "F;fuse", "G;fuze")
    assert (result.parts, told(result)) == (({"part": "F", "kind": "fuse"},), [(4, "kind", "unknown-kind")])


def test_lines_are_counted_as_an_editor_counts_them() -> None:
    result = read("part,kind,standards", '"F","fuse","UL 248\nUL 248-4"', "", "G,fuze,")
    assert told(result) == [(5, "kind", "unknown-kind")]


@pytest.mark.parametrize(
    ("body", "code"),
    [
        (b"", "empty"),
        (b"\n ,, \n\n", "empty"),
        ("part,kind".encode("utf-16"), "not-utf-8"),
        (b"PK\x03\x04\x00", "not-csv"),
        (b"part,kind\n" + b'"' + b"x" * 200_000 + b'",fuse\n', "not-csv"),
    ],
)
def test_what_is_no_table_is_told(body: bytes, code: str) -> None:
    result = import_table(body, "parts.csv")
    assert [problem.code for problem in result.problems] == [code]
    assert result.parts == ()


def test_there_is_an_end_to_rows_and_columns() -> None:
    many = "part,kind\n" + "".join(f"F{number},fuse\n" for number in range(MOST_ROWS + 10))
    result = import_table(many.encode(), "parts.csv")
    assert (told(result), result.rows) == ([(MOST_ROWS + 2, None, "too-many-rows")], MOST_ROWS)

    wide = read("part,kind", "F,fuse", "G,fuse" + "," * 1_000, "H,fuse")
    assert (told(wide), wide.rows) == ([(3, None, "too-many-columns")], 1)


@pytest.mark.parametrize("name", ["Parts.CSV", "my/parts;old.csv", CSV, "text/csv; charset=utf-8", "TEXT/CSV"])
def test_a_file_is_known_by_its_name_or_media_type(name: str) -> None:
    assert import_table(b"part,kind\nF,fuse\n", name).parts == ({"part": "F", "kind": "fuse"},)


@pytest.mark.parametrize("name", ["parts.xls", "parts", "", "application/json", "csv"])
def test_another_file_is_refused(name: str) -> None:
    with pytest.raises(UnsupportedTable, match="neither a CSV file"):
        import_table(b"part,kind\n", name)


@given(st.one_of(st.binary(max_size=200), st.text(alphabet="part,kind;\"\n\r='@fuse json:[]{}", max_size=200)))
def test_no_bytes_are_more_than_a_problem(body: Any) -> None:
    body = body if isinstance(body, bytes) else b"part,kind,standards\n" + body.encode()
    result = import_table(body, "parts.csv")
    assert len(result.parts) == len(result.lines) <= result.rows


@pytest.mark.parametrize("cell", ["[" * 100_000, " " * 100_000 + "x", ";[" * 50_000, "@" * 100_000, " behind" * 15_000])
def test_no_cell_takes_long_to_read(cell: str) -> None:
    started = process_time()
    result = read("part,kind,short_circuit_ratings", f"F,contactor,1 kA @ 9 V {cell}", f"G,contactor,{cell}")
    assert {problem.line for problem in result.problems} == {2, 3}
    assert process_time() - started < 3
