"""What people write in the cells: every example of columns.md, and every field of a part."""

import csv
import json
import re
from importlib.resources import files
from io import StringIO
from typing import Any

import pytest

from sccr.schema.exchange import import_table
from sccr.schema.exchange.cells import read_cell
from sccr.schema.exchange.cells import write_cells
from sccr.schema.exchange.columns import MARKING_COLUMNS
from sccr.schema.exchange.columns import PART_COLUMNS
from sccr.schema.exchange.columns import Column
from sccr.schema.exchange.csv_table import read_csv
from sccr.schema.exchange.forms import Words
from sccr.schema.exchange.problem import CellError
from sccr.schema.exchange.reading import read_rows
from sccr.schema.marking import Marking
from sccr.schema.transformer import TransformerSchema

COLUMNS = {column.name: column for column in PART_COLUMNS}
TEXT = (files("sccr.schema.exchange") / "columns.md").read_text("utf-8")
EXAMPLES = re.findall(r"^\| `(.+?)` \| `(.+?)` \| `(.+)` \|$", TEXT, re.MULTILINE)


@pytest.mark.parametrize(("name", "cell", "value"), EXAMPLES)
def test_an_example_is_read_and_written_as_columns_md_says(name: str, cell: str, value: str) -> None:
    wanted = json.loads(value)
    assert read_cell(COLUMNS[name], cell) == wanted
    assert write_cells(COLUMNS[name], wanted) == [cell]


def test_there_is_an_example_of_every_form_of_rating_and_every_column_is_named() -> None:
    assert len(EXAMPLES) >= 25
    ratings = {name for name in COLUMNS if name.endswith(("ratings", "capacities"))}
    assert ratings <= {example[0] for example in EXAMPLES}
    assert not [name for name in COLUMNS if f"`{name}`" not in TEXT and name != "transformer"]


def test_every_field_of_a_part_has_its_column() -> None:
    marked = set(Marking().fields) | {"description", "price", "stock", "time_delay", "ambient_ratings"}
    assert {column.path[0] for column in PART_COLUMNS} == marked
    assert {c.path[1] for c in PART_COLUMNS if len(c.path) > 1} == set(TransformerSchema().fields)


GG_AM = {"device": "fuse", "utilization_categories": ["gG", "aM"], "max_ampere_rating": "63 A"}


@pytest.mark.parametrize(
    ("cell", "device"),
    [
        ("behind J, CC max 30 A", {"device": "fuse", "fuse_classes": ["J", "CC"], "max_ampere_rating": "30 A"}),
        ("behind  fuse   J max  30 A", {"device": "fuse", "fuse_classes": ["J"], "max_ampere_rating": "30 A"}),
        ("behind part GB-3P-30", {"device": "circuit_breaker", "parts": ["GB-3P-30"]}),
        ("behind gG, aM max 63 A", GG_AM),
        ("behind aM, J max 63 A", {**GG_AM, "fuse_classes": ["J"], "utilization_categories": ["aM"]}),
        ("behind circuit_breaker J max 9 A", {"device": "circuit_breaker", "parts": ["J"], "max_ampere_rating": "9 A"}),
    ],
)
def test_other_ways_of_naming_a_device_are_read(cell: str, device: dict[str, Any]) -> None:
    read = read_cell(COLUMNS["short_circuit_ratings"], f"65 kA @ 480 V {cell}")
    assert read == [{"voltage": "480 V", "current": "65 kA", "protected_by": device}]


@pytest.mark.parametrize(
    ("name", "cell", "code", "said"),
    [
        ("interrupting_ratings", "65 kA", "not-a-rating", 'such as "35 kA @ 480Y/277 V"'),
        ("interrupting_ratings", "65 kA @ 480 V; 35 kA 240 V", "not-a-rating", "entry 2"),
        ("interrupting_ratings", "65 kA @ 480 V behind fuse J max 30 A", "not-applicable", "names a device"),
        ("short_circuit_ratings", "65 kA @ 480 V behind", "not-a-device", "behind breaker"),
        ("short_circuit_ratings", "65 kA @ 480 V behind OAT-3P-30 max 30 A", "not-a-device", "behind breaker"),
        ("let_through", "21 kA @ 480 V", "not-a-let-through", "21 kA peak"),
        ("let_through", "65 kA: 21 kA @ 480 V", "not-a-let-through", "21 kA peak"),
        ("breaking_capacities", "icu 36 kA", "not-a-rating", 'such as "icu 36 kA @ 400 V"'),
        ("breaking_capacities", "icu 36 kA @ 400 V behind fuse gG max 9 A", "not-applicable", "names a device"),
        ("conditional_ratings", "50 kA @ 400 V behind gg max 63 A type 2", "not-a-device", "behind breaker"),
        ("short_time_ratings", "10 kA", "not-a-short-time-rating", "10 kA for 1 s, 17 kA peak"),
        ("short_time_ratings", "10 kA for 1 s, 17 kA", "not-a-short-time-rating", "17 kA peak"),
        ("short_time_ratings", "10 kA for 1 s; 6 kA 3 s", "not-a-short-time-rating", "entry 2"),
        ("short_time_ratings", "=10 for 1 s", "formula", "only values"),
        ("poles", "three", "not-an-integer", '"three"'),
        ("poles", "٣", "not-an-integer", "whole number"),
        ("current_limiting", "maybe", "not-a-flag", "neither yes nor no"),
        ("price_number", "12,50", "not-a-number", "with a point"),
        ("price_number", "inf", "not-a-number", "no number"),
        ("price_number", "1_000", "not-a-number", "no number"),
        ("transformer", "5 kVA", "not-applicable", "columns whose names begin"),
        ("accessories", 'json:["a",', "not-json", "not JSON"),
        ("accessories", 'json:{"a": 1, "a": 2}', "duplicate-key", "once"),
        ("description", "=1+1", "formula", "only values"),
    ],
)
def test_what_cannot_be_read_is_told_with_the_remedy(name: str, cell: str, code: str, said: str) -> None:
    with pytest.raises(CellError) as caught:
        read_cell(COLUMNS[name], cell)
    assert (caught.value.code, said in caught.value.detail) == (code, True), caught.value.detail


@pytest.mark.parametrize("cell", ["Icu 36 kA @ 400 V", "ICU  36 kA @ 400 V"])
def test_the_kind_of_a_breaking_capacity_is_read_as_catalogues_write_it(cell: str) -> None:
    read = read_cell(COLUMNS["breaking_capacities"], cell)
    assert read == [{"kind": "icu", "current": "36 kA", "voltage": "400 V"}]


def test_a_breaking_capacity_of_no_kind_is_told_by_its_field() -> None:
    (problem,) = import_table(b"part,kind,breaking_capacities\nB,circuit_breaker,36 kA @ 400 V\n", "a.csv").problems
    assert (problem.column, problem.code) == ("breaking_capacities", "required")
    assert "kind" in problem.detail


@pytest.mark.parametrize("cell", ["-QA1", "+24 V", "@home"])
def test_what_is_typed_without_an_apostrophe_is_text(cell: str) -> None:
    assert read_cell(COLUMNS["part"], cell) == cell


def test_columns_are_known_however_their_names_are_written_and_in_any_order() -> None:
    table = "KIND;Ampere rating;  part ;Transformer.kVA\nfuse;30 A;OAT-1;\n"
    assert import_table(table.encode(), "a.csv").parts == ({"kind": "fuse", "ampere_rating": "30 A", "part": "OAT-1"},)


@pytest.mark.parametrize(
    "names", ["accessories,accessories", "accessories,Accessories 2", "accessories_2,accessories 3"]
)
def test_a_list_goes_on_in_further_columns(names: str) -> None:
    result = import_table(f"part,kind,{names}\nOAT-1,fuse,a; b,c\nOAT-2,fuse,,d\n".encode(), "a.csv")
    assert [part["accessories"] for part in result.parts] == [["a", "b", "c"], ["d"]]
    assert result.problems == ()


def test_a_line_break_in_a_cell_parts_a_list() -> None:
    (part,) = import_table(b'part,kind,standards\nOAT-1,fuse,"UL 489\nUL 1077;\r\nIEC 60947-2"\n', "a.csv").parts
    assert part["standards"] == ["UL 489", "UL 1077", "IEC 60947-2"]


def test_the_same_reader_takes_the_components_of_a_panel() -> None:
    columns = (
        Column("id", Words(), required=True),
        Column("fed_from", Words(), many=True, single=True, required=True),
        Column("kind", Words()),
        *MARKING_COLUMNS,
    )
    table = StringIO()
    csv.writer(table).writerows(
        [
            ["id", "fed_from", "kind", "ampere_rating", "ampere_rating"],
            ["-QA1", "S1", "circuit_breaker", "30 A"],
            ["-QM1", "-QA1; -QA2", "contactor"],
        ]
    )
    read = read_rows(read_csv(table.getvalue().encode()), columns)

    assert [row.document for row in read.rows] == [
        {"id": "-QA1", "fed_from": "S1", "kind": "circuit_breaker", "ampere_rating": "30 A"},
        {"id": "-QM1", "fed_from": ["-QA1", "-QA2"], "kind": "contactor"},
    ]
    assert [(problem.line, problem.code) for problem in read.problems] == [(1, "duplicate-column")]
