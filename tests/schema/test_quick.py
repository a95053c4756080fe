"""The tables of the fast lane: what they know, what they keep, and that they follow the fields that made them."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import FrozenInstanceError
from dataclasses import dataclass
from dataclasses import fields
from pickle import dumps
from pickle import loads
from typing import Any

import pytest

from sccr.fault_current.site import Level
from sccr.panel import component as records
from sccr.panel.component import Component
from sccr.panel.component import ShortCircuitRating
from sccr.panel.kinds import kinds
from sccr.schema import quantity
from sccr.schema.document import ComponentSchema
from sccr.schema.fields import Choice
from sccr.schema.fields import Identifier
from sccr.schema.fields import Integer
from sccr.schema.fields import ListOf
from sccr.schema.fields import Quantity
from sccr.schema.fields import Strict
from sccr.schema.fields import Text
from sccr.schema.making import maker
from sccr.schema.quick import UNCERTAIN
from sccr.schema.quick import Reading
from sccr.schema.quick import Remembered
from sccr.schema.quick import RememberedContent
from sccr.schema.ratings import short_circuit_ratings
from sccr.schema.strict_schema import Object
from sccr.schema.strict_schema import StrictSchema


class TestRemembered:
    def test_a_string_is_read_once(self) -> None:
        asked: list[str] = []
        table = Remembered(lambda text: asked.append(text) or len(text))

        assert [table["abc"], table["abc"], table["d"]] == [3, 3, 1]
        assert asked == ["abc", "d"]

    def test_no_more_is_kept_than_is_bounded(self) -> None:
        table = Remembered(len, most=100)

        assert [table[str(number)] for number in range(1_000)] == [len(str(number)) for number in range(1_000)]
        assert len(table) <= 100

    def test_what_is_refused_is_not_kept(self) -> None:
        table = Quantity(quantity.current).quick()
        kept = len(table)  # type: ignore[arg-type]
        for wrong in ("65", "9" * 10_000, "65 kA ", 65, 65.0, None):
            with pytest.raises(UNCERTAIN):
                table[wrong]
        assert len(table) == kept  # type: ignore[arg-type]

    def test_what_is_no_string_is_not_kept(self) -> None:
        table = Remembered(repr)

        assert [table[1], table[True], table[1.0]] == ["1", "True", "1.0"]
        assert not table

    def test_threads_may_share_it(self) -> None:
        table = Remembered(int, most=50)
        with ThreadPoolExecutor(8) as threads:
            found = threads.map(lambda number: table[str(number % 97)] == number % 97, range(20_000))

        assert all(found)
        assert len(table) <= 50 + 8


class TestRememberedContent:
    def test_equal_contents_are_made_once_and_are_one(self) -> None:
        table = short_circuit_ratings().quick()
        one, other = (table[[{"voltage": "480 V", "current": "65 kA"}]] for _ in range(2))

        assert one is other
        assert one == (ShortCircuitRating(65_000_000, quantity.system_voltage("480 V")),)

    def test_contents_that_only_compare_equal_are_told_apart(self) -> None:
        table = RememberedContent(Reading(lambda value: repr(value)))

        assert [table[[1]], table[[True]], table[[1.0]], table[(1,)]] == ["[1]", "[True]", "[1.0]", "(1,)"]

    def test_large_ones_are_not_kept_and_no_more_than_is_bounded(self) -> None:
        table = RememberedContent(Reading(lambda value: len(value)))
        for number in range(10_000):
            assert table[[number]] == 1
        kept = len(table._known)

        assert kept <= 4096
        assert table["x" * 10_000] == 10_000
        assert len(table._known) == kept

    def test_what_holds_itself_is_no_content(self) -> None:
        within: list[Any] = []
        within.append(within)
        with pytest.raises(UNCERTAIN):
            short_circuit_ratings().quick()[within]


class TestDeclaredOnce:
    def test_a_table_has_the_members_that_the_schema_declares(self) -> None:
        schema = ComponentSchema()

        assert set(schema.quick._members) == set(schema.load_fields)  # type: ignore[attr-defined]
        assert schema.quick is schema.quick

    def test_a_new_way_of_reading_never_has_an_old_table(self) -> None:
        class Loud(Choice):
            def read(self, value: Any) -> str:
                return str(super().read(value)).upper()

        assert Loud("word", {"a": "a"}).quick()["a"] == "A"
        assert Choice("word", {"a": "a"}).quick()["a"] == "a"

    def test_an_object_read_in_its_own_way_is_read_so(self) -> None:
        class Twice(StrictSchema):
            name = Text(required=True)

            def read(self, value: Any) -> Any:
                return [super().read(value)] * 2

        assert Object(Twice()).quick()[{"name": "a"}] == [{"name": "a"}] * 2

    @pytest.mark.parametrize(
        "field", [Text(), Identifier(), Integer(1, 4), Quantity(quantity.current), ListOf(Text(), 3)]
    )
    @pytest.mark.parametrize("value", [None, True, 3, 2.0, "a", "65 kA", "", [], ["a"], ["a"] * 4, [1], {}, b"a"])
    def test_a_table_knows_what_the_field_reads(self, field: Strict, value: Any) -> None:
        try:
            expected = field.read(value)
        except UNCERTAIN:
            with pytest.raises(UNCERTAIN):
                field.quick()[value]
        else:
            assert field.quick()[value] == expected


RECORDS = [each for each in vars(records).values() if isinstance(each, type) and hasattr(each, "__dataclass_fields__")]


class TestMaker:
    @pytest.mark.parametrize("record", RECORDS, ids=lambda record: record.__name__)
    def test_a_record_is_that_of_its_constructor(self, record: type[Any]) -> None:
        members = {each.name: f"a {each.name}" for each in fields(record)}
        made = maker(record)(members)

        assert type(made) is record
        assert made == record(**members)
        assert repr(made) == repr(record(**members))
        assert loads(dumps(made)) == made
        with pytest.raises(FrozenInstanceError):
            setattr(made, fields(record)[0].name, "other")

    def test_what_is_left_out_stands_at_its_default(self) -> None:
        members = {"id": "-QA1", "kind": kinds()["contactor"], "fed_from": ("S1",)}

        assert maker(Component)(members) == Component(**members)
        assert hash(maker(Component)(members)) == hash(Component(**members))

    def test_the_fast_way_is_open_on_this_interpreter(self) -> None:
        assert "unfrozen" in maker(Component).__code__.co_freevars  # type: ignore[attr-defined]

    def test_a_field_may_be_called_otherwise(self) -> None:
        members = {"id": "-QA1", "kind": kinds()["contactor"], "fed_from": ("S1",)}
        make = maker(Component, {"amperes": "ampere_rating"})

        assert make({**members, "ampere_rating": 7}) == Component(**members, amperes=7)
        with pytest.raises(TypeError):
            make({**members, "amperes": 7})
        assert maker(Component)({**members, "amperes": 7}) == Component(**members, amperes=7)

    def test_a_record_that_does_more_is_made_by_its_constructor(self) -> None:
        @dataclass(frozen=True, slots=True)
        class Doubled:
            amperes: int

            def __post_init__(self) -> None:
                object.__setattr__(self, "amperes", 2 * self.amperes)

        assert maker(Doubled, {"amperes": "ampere_rating"})({"ampere_rating": 7}) == Doubled(7)
        assert Doubled(7).amperes == 14

    def test_what_is_missing_or_unknown_is_an_error_as_ever(self) -> None:
        with pytest.raises(TypeError):
            maker(Component)({"id": "-QA1"})
        with pytest.raises(TypeError):
            maker(Level)({"amperes": 1})
