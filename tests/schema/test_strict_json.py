"""Strict JSON: what the standard library would pass over is refused, with its place."""

import json
from random import Random
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sccr.errors import InvalidDocument
from sccr.errors import MalformedJson
from sccr.schema.json_values import MAX_DEPTH
from sccr.schema.json_values import MAX_INTEGER
from sccr.schema.strict_json import decode
from sccr.schema.strict_json import decode_with_care
from sccr.schema.strict_json import plain_json
from tests.schema.spoiling import PANELS


def malformed(body: bytes | str) -> MalformedJson:
    with pytest.raises(MalformedJson) as caught:
        decode(body)
    return caught.value


def problems(body: bytes | str) -> list[tuple[str, str]]:
    with pytest.raises(InvalidDocument) as caught:
        decode(body)
    return [(problem.pointer, problem.code) for problem in caught.value.problems]


JSON = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-MAX_INTEGER, MAX_INTEGER)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(st.characters(exclude_categories=("Cc", "Cs"))),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(st.text(st.characters(exclude_categories=("Cc", "Cs"))), inner, max_size=4)
    ),
    max_leaves=20,
)


@given(value=JSON, ascii_only=st.booleans())
def test_whatever_is_right_is_read_as_the_standard_library_reads_it(value: Any, ascii_only: bool) -> None:
    text = json.dumps(value, ensure_ascii=ascii_only)
    assert decode(text) == decode(text.encode()) == value


@given(body=st.binary(max_size=40) | st.text(alphabet='{}[]":,\\u019eE+-.nulltruefalseNaN \x00\ud800é', max_size=40))
def test_whatever_is_sent_is_read_or_refused(body: bytes | str) -> None:
    try:
        value = decode(body)
    except (MalformedJson, InvalidDocument):
        return
    assert json.loads(body) == value


@pytest.mark.parametrize(
    "body", ["", "{", '{"a" 1}', "{'a': 1}", "[1,]", "[01]", "[.5]", "tru", '"a" "b"', '"a\nb"', "[0x10]"]
)
def test_what_is_not_json_is_refused_with_its_place(body: str) -> None:
    error = malformed(body)
    assert error.line is not None
    assert error.column is not None
    assert f"line {error.line}, column {error.column}" in str(error)


def test_the_place_counts_from_one() -> None:
    error = malformed('{\n  "a": 1,\n  "b" 2\n}')
    assert (error.line, error.column) == (3, 7)


@pytest.mark.parametrize("body", ["[NaN]", "[Infinity]", "[-Infinity]", '{"a": NaN}'])
def test_what_is_not_a_number_is_not_json(body: str) -> None:
    assert "is not a number" in malformed(body).detail


@pytest.mark.parametrize(
    ("body", "reason"),
    [
        (b"\xef\xbb\xbf{}", "byte order mark"),
        ("\ufeff{}", "byte order mark"),
        ('{"a": 1}'.encode("utf-16"), "not UTF-8"),
        ('{"a": 1}'.encode("utf-16-le"), "not UTF-8"),
        ('{"a": 1}'.encode("utf-16-be"), "not UTF-8"),
        ('{"a": 1}'.encode("utf-32-le"), "not UTF-8"),
        ('{"a": "é"}'.encode("latin-1"), "not UTF-8"),
        (b'{"a": "\xed\xa0\x80"}', "not UTF-8"),
    ],
)
def test_another_encoding_than_utf_8_is_refused(body: bytes | str, reason: str) -> None:
    assert reason in malformed(body).detail


def test_nesting_is_bounded_whatever_the_parser_would_stand() -> None:
    assert decode("[" * MAX_DEPTH + "]" * MAX_DEPTH) is not None
    for deep in (
        "[" * (MAX_DEPTH + 1) + "]" * (MAX_DEPTH + 1),
        "[" * 500_000,
        '{"a":' * 500_000,
        '[{"a":' * 17 + "1" + "}]" * 17,
    ):
        assert "deep" in malformed(deep).detail


def test_brackets_in_strings_are_no_nesting() -> None:
    assert decode(json.dumps(["[" * 100, '\\"' + "{" * 100, "]"])) == ["[" * 100, '\\"' + "{" * 100, "]"]


def test_an_open_string_of_quotes_costs_no_time() -> None:
    assert malformed('"' + '\\"' * 500_000).line == 1
    assert malformed('["' + "\\" * 1_000_001).line == 1


def test_every_repeated_key_is_named_at_its_place() -> None:
    body = '{"sccr": 5, "sccr": 65, "list": [{"x": 1}, {"x": {"y": 1, "y": 2}, "x": 2}], "a/b": {"~": 1, "~": 1}}'
    assert problems(body) == [
        ("/sccr", "duplicate-key"),
        ("/list/1/x", "duplicate-key"),
        ("/list/1/x/y", "duplicate-key"),
        ("/a~1b/~0", "duplicate-key"),
    ]


def test_keys_that_are_repeated_by_an_escape_are_repeated() -> None:
    assert problems('{"a": 1, "\\u0061": 2}') == [("/a", "duplicate-key")]


def test_many_repeated_keys_cost_no_time() -> None:
    body = "{" + ",".join(f'"k{number}": 1, "k{number}": 2' for number in range(20_000)) + "}"
    found = problems(body)
    assert [code for _, code in found] == ["duplicate-key"] * 10_000 + ["too-many-problems"]
    assert [place for place, _ in found] == [f"/k{number}" for number in range(10_001)]


def test_of_many_faults_the_first_are_told() -> None:
    found = problems("[" + ",".join(['[1e999, "\\u0007"]'] * 10_000) + "]")
    assert [place for place, _ in found] == [f"/{number // 2}/{number % 2}" for number in range(10_001)]
    assert found[-1] == ("/5000/0", "too-many-problems")


def test_numbers_out_of_range_are_named_at_their_place() -> None:
    assert decode(f"[{MAX_INTEGER}, {-MAX_INTEGER}]") == [MAX_INTEGER, -MAX_INTEGER]
    body = f'{{"a": 1e999, "b": [{MAX_INTEGER + 1}, -1e400], "c": {"9" * 5000}, "d": 1e-999}}'
    assert problems(body) == [(pointer, "number-out-of-range") for pointer in ("/a", "/b/0", "/b/1", "/c")]


@pytest.mark.parametrize("text", ["\\u0000", "\\ud800", "\\udc00\\ud800", "a\\nb", "\\t", "\\u009f", "\x7f", "\x85"])
def test_control_characters_and_half_surrogates_are_named_at_their_place(text: str) -> None:
    assert problems(f'{{"a": ["x", "{text}"]}}') == [("/a/1", "control-character")]
    assert problems(f'{{"a": {{"{text}": 1}}}}') == [("/a", "not-a-name")]


def test_a_pair_of_surrogates_is_a_character() -> None:
    assert decode('"\\ud83d\\ude9c"') == "\U0001f69c"


def test_escapes_without_harm_are_taken() -> None:
    assert decode(r'"a\"b\\n\/\u00e9"') == 'a"b\\n/é'


def outcome(read: Any, body: bytes | str) -> tuple[str, Any]:
    """What comes of a text, with the types and signs of its numbers, or how it is refused."""
    try:
        return "read", repr(read(body))
    except MalformedJson as error:
        return "malformed", str(error)
    except InvalidDocument as error:
        return "invalid", error.problems


PIECES = (
    *(
        '"',
        "\\",
        ":",
        ",",
        "{",
        "}",
        "[",
        "]",
        "\\u0041",
        "\\ud800",
        '\\"',
        "\n",
        "\x00",
        "\x7f",
        "\x85",
        "²",
        "\U0001f33e",
    ),
    *(
        "0",
        "-0",
        "-0.0",
        "1e5",
        "1E+2",
        "1e999",
        "9007199254740992",
        "-9007199254740991",
        "0.1",
        "1e-400",
        "1234567.125",
    ),
    *("true", "null", "NaN", "-Infinity", '"a": 1, ', '"kind": "fuse", ', " ", "\ufeff", "\ud800", "/*", "é"),
)


def test_the_quick_reading_is_that_of_the_careful_one() -> None:
    random, quick = Random(7159), 0
    whole = [*PANELS.values(), *(json.dumps(json.loads(text)) for text in PANELS.values())]
    for _ in range(3_000):
        text = random.choice(whole)
        for _ in range(random.choice((0, 1, 1, 2))):
            start = random.randrange(len(text))
            text = text[:start] + random.choice(PIECES) + text[start + random.choice((0, 0, 1, 4)) :]
        body = text.encode(errors="surrogatepass") if random.random() < 0.5 else text
        assert outcome(decode, body) == outcome(decode_with_care, body), body
        quick += plain_json(body) is not None
    assert 500 < quick < 2_500


@given(value=JSON, ascii_only=st.booleans(), indent=st.sampled_from([None, 1]))
def test_whatever_is_right_is_read_alike_in_both_ways(value: Any, ascii_only: bool, indent: int | None) -> None:
    text = json.dumps(value, ensure_ascii=ascii_only, indent=indent)
    assert outcome(decode, text) == outcome(decode_with_care, text)


@given(number=st.floats(allow_nan=False, allow_infinity=False) | st.integers(-(2**70), 2**70))
def test_numbers_are_read_to_the_last_digit(number: float) -> None:
    for text in (f"[{number!r}]", f"[{number:.17e}]", f"[{number:.3f}]"):
        assert outcome(decode, text) == outcome(decode_with_care, text)


@pytest.mark.parametrize("number", [MAX_INTEGER, MAX_INTEGER + 1, 2**63, 2**64, 10**400])
@pytest.mark.parametrize("sign", [1, -1])
def test_the_integers_that_are_taken_are_the_same(number: int, sign: int) -> None:
    text = json.dumps({"a": [[sign * number]]})
    assert outcome(decode, text) == outcome(decode_with_care, text)
    assert outcome(decode, text)[0] == ("read" if number <= MAX_INTEGER else "invalid")


@pytest.mark.parametrize("depth", [MAX_DEPTH - 1, MAX_DEPTH, MAX_DEPTH + 1, 1_000, 100_000])
@pytest.mark.parametrize(("opening", "closing"), [("[", "]"), ('{"a":', "}"), ('[{"]":', "}]")])
def test_the_depth_that_is_taken_is_the_same(depth: int, opening: str, closing: str) -> None:
    for inner in ("1", '"[[["', "{}"):
        text = opening * depth + inner + closing * depth
        assert outcome(decode, text) == outcome(decode_with_care, text)


@pytest.mark.parametrize(
    "text",
    [
        '{"a": 1, "a": 1}',
        '{"a": 1, "\\u0061": 1}',
        '[{"a": {"b": 1, "b": {"c": "d"}}}]',
        '{"a": "\\"", "a": "\\""}',
        '{"a": 1, "a": "\\" : \\""}',
        '{"": "", "": ""}',
        '{"a": ["x"], "a": []}',
        '{"²": 1, "²": 2}',
    ],
)
def test_a_repeated_key_is_never_passed_over(text: str) -> None:
    assert plain_json(text) is None
    assert {code for _, code in problems(text)} == {"duplicate-key"}


def test_what_is_plain_is_neither_refused_nor_rewritten() -> None:
    for text in PANELS.values():
        read = plain_json(text)
        assert read is not None
        assert read[0] == json.loads(text)
        assert json.loads(read[1]) == json.loads(text)
