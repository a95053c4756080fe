"""The choice: its order, its limit, what it shows, and the demo catalogue."""

import json
from decimal import Decimal

from sccr.schema.circuit import load_circuit
from sccr.selection import devices
from sccr.selection import select
from tests.selection.drawing import GRAIN
from tests.selection.drawing import against
from tests.selection.drawing import breaker
from tests.selection.drawing import chosen
from tests.selection.drawing import circuit
from tests.selection.drawing import fuse
from tests.selection.drawing import motor
from tests.selection.drawing import names
from tests.selection.drawing import shop


def rated(current: str) -> list[dict]:
    return [{"voltage": "480 V", "current": current}]


def test_the_smallest_rating_comes_first_then_the_margin_then_the_price() -> None:
    parts = shop(
        breaker("E", "25 A", interrupting_ratings=rated("100 kA"), price="1"),
        breaker("A", "20 A", interrupting_ratings=rated("25 kA"), price="1"),
        breaker("D", "20 A", interrupting_ratings=rated("65 kA")),
        breaker("C", "20 A", interrupting_ratings=rated("65 kA"), price="90"),
        breaker("B", "20 A", interrupting_ratings=rated("65 kA"), price="9.50"),
        fuse("F", "20 A", price="40"),
    )

    selection = chosen(motor(), parts, available_fault_current="14 kA")

    assert names(selection) == ["F", "B", "C", "D", "A", "E"]
    assert selection.suitable[0].price == Decimal(120)
    assert [each.margin for each in selection.suitable][-2:] == [11_000_000, 86_000_000]


def test_equal_devices_stand_in_the_order_of_their_numbers() -> None:
    assert names(chosen(motor(), shop(breaker("B"), breaker("A"), breaker("C")))) == ["A", "B", "C"]


def test_the_nearest_miss_comes_first() -> None:
    parts = shop(
        breaker("far", poles=2),
        breaker("large", "60 A"),
        breaker("larger", "100 A"),
        breaker("weak", interrupting_ratings=rated("5 kA")),
    )

    selection = chosen(motor(), parts, available_fault_current="14 kA")

    assert [*against(selection).items()] == [
        ("weak", "interrupting_rating"),
        ("large", "maximum_amperes"),
        ("larger", "maximum_amperes"),
        ("far", "poles"),
    ]


def test_a_limit_cuts_the_lists_and_not_the_counts() -> None:
    whole, cut = chosen(motor()), chosen(motor(), limit=2)

    assert cut.suitable == whole.suitable[:2]
    assert cut.near_misses == whole.near_misses[:2]
    assert cut.as_dict()["counts"] == whole.as_dict()["counts"]
    assert (cut.suitable_count, cut.near_miss_count) == (len(whole.suitable), len(whole.near_misses))


def test_every_protective_part_is_either_suitable_or_a_near_miss() -> None:
    selection = chosen(motor())
    protective = {
        part.part
        for part in GRAIN.parts.values()
        if part.kind.overcurrent or part.kind.supplementary or part.fields.get("self_protected")
    }

    assert {*names(selection), *against(selection)} == protective
    assert not {*names(selection)} & {*against(selection)}


def test_a_leg_of_ten_horsepower_from_the_demo_catalogue() -> None:
    """14 A: breakers 17.5 to 35 A, class CC to 45 A, the self-protected controller of 18 A."""
    selection = chosen(motor(), available_fault_current="22 kA")

    assert names(selection) == [
        *("TEFF-10SH", "TEFF-10S"),
        *("PEA-CC-30", "SORGHUM-3P-30", "BARLEY-3P-30H", "OAT-3P-30H", "BARLEY-3P-30"),
    ]
    assert against(selection)["OAT-3P-30"] == "interrupting_rating"
    assert against(selection)["PEA-J-30"] == "maximum_amperes"
    assert against(selection)["RYE-3P-D16"] == "duty"


def test_on_a_delta_system_the_slash_ratings_fall_out() -> None:
    selection = chosen(motor(), available_fault_current="22 kA", voltage="480 V", system="ungrounded_delta")

    assert names(selection) == ["PEA-CC-30", "SORGHUM-3P-30", "BARLEY-3P-30H", "BARLEY-3P-30"]
    assert against(selection)["OAT-3P-30H"] == "system"
    assert against(selection)["TEFF-10S"] == "system"


def test_what_miniature_breakers_come_in() -> None:
    """Common practice, no source: 1 to 3 poles, 0.5 A to 63 A, to 480 V AC and 250 V DC, on a rail or on feet."""
    sizes = ("0.5 A", "1 A", "15 A", "63 A")
    ratings = [
        {"voltage": "480Y/277 V", "current": "10 kA"},
        {"voltage": "250 V", "current": "10 kA", "supply": "dc"},
    ]
    parts = shop(
        *(
            breaker(f"{poles}-{size}", size, poles=poles, interrupting_ratings=ratings, mounting=mounting)
            for poles, mounting in ((1, "DIN rail"), (2, "feet"), (3, "DIN rail"))
            for size in sizes
        )
    )
    small = {"current": "0.3 A"}
    dc = {"voltage": "250 V", "system": "dc"}

    assert names(chosen(small, parts))[0] == "3-0.5 A"
    assert names(chosen(small, parts, poles=2, wanted={"mounting": "feet"}))[0] == "2-0.5 A"
    assert names(chosen(small, parts, poles=1))[0] == "1-0.5 A"
    assert names(chosen({"current": "0.5 A"}, parts, **dc))[0] == "1-1 A"
    assert names(chosen({"current": "50 A"}, parts, conductor_ampacity="65 A")) == ["3-63 A"]
    assert not names(chosen(small, parts, voltage="600Y/347 V"))


def test_the_choice_as_json() -> None:
    selection = chosen(motor(), available_fault_current="22 kA", designation="-QF7", wanted={"kinds": ["fuse"]})
    told = json.loads(json.dumps(selection.as_dict()))

    assert told["format"] == "selection/1"
    assert told["designation"] == "-QF7"
    assert told["requirement"]["full_load_current"]["current_amperes"] == 14
    assert told["suitable"][0]["part"] == "PEA-CC-30"
    assert told["suitable"][0]["quantity"] == 3
    assert told["suitable"][0]["interrupting_rating"] == {
        "current": "200 kA",
        "current_amperes": 200_000,
        "voltage": "600 V",
    }
    assert len(told["suitable"][0]["why"]) == 14
    assert {*told["near_misses"][0]["against"]} == {"check", "clause", "statement"}
    assert told["method"]["catalogue_digest"] == GRAIN.digest
    assert selection == chosen(motor(), available_fault_current="22 kA", designation="-QF7", wanted={"kinds": ["fuse"]})


def test_devices_made_ready_once_give_the_same_choice() -> None:
    ready = devices(GRAIN)
    document = load_circuit(circuit(motor(), available_fault_current="22 kA"))

    assert select(document, ready) == select(document, GRAIN)
