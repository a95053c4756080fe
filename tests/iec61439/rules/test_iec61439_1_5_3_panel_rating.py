"""The rating of the assembly (method P1, P2, P6; IEC 61439-1 5.3, from memory)."""

from tests.iec61439.drawing import STAR
from tests.iec61439.drawing import UNEARTHED
from tests.iec61439.drawing import breaker
from tests.iec61439.drawing import kiloamperes
from tests.iec61439.drawing import limits
from tests.iec61439.drawing import panel
from tests.iec61439.drawing import part
from tests.iec61439.drawing import rated
from tests.iec61439.drawing import short_time

TWO = [{"id": "S", **STAR}, {"id": "T", **UNEARTHED}]


def test_the_headline_is_the_lowest_supply() -> None:
    document = panel(breaker("Q1"), breaker("Q2", "T", "36 kA"), supplies=TWO)
    rating = rated(document)

    assert kiloamperes(document) == 36
    assert [s.rating.current for s in rating.supplies if s.rating] == [50_000_000, 36_000_000]
    assert limits(document) == ["Q2"]


def test_ties_of_all_supplies_are_named() -> None:
    assert limits(panel(breaker("Q1"), breaker("Q3"), breaker("Q2", "T"), supplies=TWO)) == ["Q1", "Q3", "Q2"]


def test_a_supply_that_feeds_nothing_is_noted_and_has_no_rating() -> None:
    rating = rated(panel(breaker("Q1"), supplies=TWO))

    assert rating.supplies[1].rating is None
    assert "supply-without-load" in {finding.code for finding in rating.findings}


def texts(*parts: dict, **more: object) -> list[str]:
    return [s.rating.text for s in rated(panel(*parts, **more)).supplies if s.rating is not None]


def test_each_supply_has_its_own_voltage_and_symbol() -> None:
    single = breaker("Q1", current="10 kA", voltage="230 V", poles=1)
    main = part("disconnect_switch", "Q0", "T", short_time_ratings=[short_time("12 kA", "3 s")])

    assert texts(single, main, breaker("Q2", "Q0"), supplies=TWO) == [
        "Icc 10 kA, Ipk 17 kA, 230/400 V",
        "Icw 12 kA (3 s), Ipk 24 kA, 400 V",
    ]


def test_the_star_is_written_the_way_of_the_standard_whatever_the_document_writes() -> None:
    device = breaker("Q1", voltage="480Y/277 V")

    assert texts(device, supply={"voltage": "480Y/277 V"}) == ["Icc 50 kA, Ipk 105 kA, 277/480 V"]
    assert texts(breaker("Q1", voltage="480 V"), supply={"voltage": "480Y/277 V"}) == ["Icc 50 kA, Ipk 105 kA, 480 V"]
    assert texts(device, supply={"voltage": "480 V"}) == ["Icc 50 kA, Ipk 105 kA, 277/480 V"]
