"""Devices chosen by another edition: what counts as a breaking capacity, which standards, and what is told."""

import random

import pytest

import sccr
from sccr.errors import InvalidDocument
from sccr.schema.circuit import load_circuit
from sccr.selection import Selection
from sccr.selection import select
from sccr.selection.practice import practice
from tests.drawing import panel
from tests.selection.drawing import Document
from tests.selection.drawing import against
from tests.selection.drawing import chosen
from tests.selection.drawing import circuit
from tests.selection.drawing import codes
from tests.selection.drawing import motor
from tests.selection.drawing import names
from tests.selection.drawing import shop

IEC = "IEC 61439-2:2020"
CSA = "CSA C22.2 No. 286:2017"
#: 10 hp at 400 V: about 17 A.
LOAD = motor(voltage="400 V")


def breaks(current: str, kind: str = "icu", voltage: str = "400 V") -> Document:
    return {"voltage": voltage, "current": current, "kind": kind}


def breaker(part: str, *capacities: Document, **fields: object) -> Document:
    base: Document = {"part": part, "kind": "circuit_breaker", "poles": 3, "ampere_rating": "25 A"}
    return {**base, "standards": ["IEC 60947-2"], "breaking_capacities": list(capacities), **fields}


def fuse(part: str, category: str | None, current: str = "100 kA", **fields: object) -> Document:
    stated = {"utilization_category": category} if category else {}
    base: Document = {
        "part": part,
        "kind": "fuse",
        "ampere_rating": "25 A",
        "standards": ["IEC 60269-2:2013"],
        **stated,
    }
    return {**base, "breaking_capacities": [breaks(current, "fuse")], **fields}


def by_iec(*parts: Document, load: Document = LOAD, **fields: object) -> Selection:
    star = {"voltage": "230/400 V", "available_fault_current": "20 kA", "edition": IEC}
    return chosen(load, shop(*parts), **{**star, **fields})


def test_the_ultimate_breaking_capacity_counts_and_an_interrupting_rating_does_not() -> None:
    american = {"interrupting_ratings": [{"voltage": "480 V", "current": "65 kA"}]}
    found = by_iec(
        breaker("icu", breaks("25 kA")), breaker("weak", breaks("16 kA"), **american), breaker("ul", **american)
    )

    assert names(found) == ["icu"]
    assert against(found) == {"weak": "interrupting_rating", "ul": "voltage"}
    reasons = {miss.device.part: miss.verdict.statement for miss in found.near_misses}
    assert reasons["ul"] == ("no breaking capacity (Icu, Ics, Icn or that of a fuse) is stated; the circuit has 400 V")
    assert reasons["weak"].startswith("16 kA at 400 V, below 20 kA")


def test_of_icu_and_icn_the_lower_counts_unless_only_skilled_persons_operate_it() -> None:
    """IEC 60898-1 devices may be operated by anyone, so that Icn counts where it is stated (from memory)."""
    both = breaker("both", breaks("25 kA"), breaks("10 kA", "icn"))

    assert against(by_iec(both)) == {"both": "interrupting_rating"}
    assert names(by_iec(both, options={"skilled_persons_only": True})) == ["both"]


def test_the_service_breaking_capacity_counts_where_it_is_asked_for() -> None:
    both = breaker("both", breaks("25 kA"), breaks("12.5 kA", "ics"))
    ultimate = breaker("ultimate", breaks("25 kA"))
    found = by_iec(both, ultimate, options={"service_breaking_capacity": True})

    assert names(by_iec(both, ultimate)) == ["both", "ultimate"]
    assert against(found) == {"both": "interrupting_rating", "ultimate": "voltage"}


def test_a_capacity_between_line_and_neutral_serves_no_ungrounded_system() -> None:
    slash = breaker("slash", breaks("25 kA", voltage="230/400 V"))

    assert names(by_iec(slash)) == ["slash"]
    assert against(by_iec(slash, voltage="400 V", system="ungrounded_delta")) == {"slash": "system"}


def test_fuses_go_by_their_utilization_category() -> None:
    """gG and gM break every overcurrent, aM only short circuits; aR and gR are for semiconductors (IEC 60269-1)."""
    parts = [fuse(name, name) for name in ("gG", "gM", "aM", "aR")] + [fuse("class", None, fuse_class="J")]
    for_motor = by_iec(*parts)
    heater = {"heater": {"kw": "13 kW"}}

    assert names(for_motor) == ["aM", "gG", "gM"]
    assert against(for_motor) == {"aR": "duty", "class": "duty"}
    told = next(each for each in for_motor.suitable if each.device.part == "aM").why
    assert "an overload relay" in str(dict(told)["duty"].open)
    assert names(by_iec(*parts, load=heater)) == ["gG"]


def test_a_device_is_to_a_standard_of_the_edition() -> None:
    found = by_iec(
        breaker("right", breaks("25 kA")),
        breaker("year", breaks("25 kA"), standards=["IEC 60947-2:2016"]),
        breaker("another", breaks("25 kA"), standards=["IEC 60947-21"]),
        breaker("american", breaks("25 kA"), standards=["UL 489"]),
        breaker("silent", breaks("25 kA"), standards=[]),
    )

    assert names(found) == ["right", "silent", "year"]
    assert against(found) == {"another": "duty", "american": "duty"}
    silent = dict(next(each for each in found.suitable if each.device.part == "silent").why)
    assert silent["duty"].open == "its standards: IEC 60947-2 or IEC 60898-1 must be among them"


def test_a_supplementary_protector_is_rated_behind_what_it_was_tested_with() -> None:
    tested = {
        "voltage": "400 V",
        "current": "25 kA",
        "protected_by": {"device": "fuse", "utilization_categories": ["gG"], "max_ampere_rating": "63 A"},
    }
    part = {"part": "s", "kind": "supplementary_protector", "poles": 3, "ampere_rating": "25 A"}
    part |= {"conditional_ratings": [tested]}
    behind = by_iec(part, duty="supplementary")

    assert against(by_iec(part)) == {"s": "duty"}
    assert names(behind) == ["s"]
    assert "the one that its rating names" in str(dict(behind.suitable[0].why)["duty"].open)


def test_clauses_are_those_of_the_edition_and_say_that_they_are_from_memory() -> None:
    found = by_iec(breaker("icu", breaks("25 kA"))).as_dict()
    clauses = {why["check"]: why["clause"] for why in found["suitable"][0]["why"]}

    assert all(clauses[check].endswith("[clause from memory]") for check in ("duty", "poles", "voltage", "system"))
    assert clauses["interrupting_rating"] == found["requirement"]["interrupting_rating"]["clause"]
    assert "NEC" not in clauses["interrupting_rating"]
    assert found["method"]["edition"] == IEC
    assert "amperes-sized-by-nec" in {finding["code"] for finding in found["findings"]}


def test_without_a_fault_current_breaking_capacities_are_said_not_to_be_compared() -> None:
    found = by_iec(breaker("icu", breaks("25 kA")), available_fault_current="1 A")
    unstated = chosen(LOAD, shop(breaker("icu", breaks("25 kA"))), voltage="230/400 V", edition=IEC)

    assert names(found) == names(unstated) == ["icu"]
    told = {finding.code: finding.message for finding in unstated.findings}
    assert told["fault-current-not-stated"].endswith("breaking capacities are not compared")


def test_in_canada_a_device_is_to_a_canadian_standard() -> None:
    rating = {"interrupting_ratings": [{"voltage": "600 V", "current": "25 kA"}]}
    base = {"kind": "circuit_breaker", "poles": 3, "ampere_rating": "20 A", **rating}
    parts = shop(
        {"part": "both", **base, "standards": ["UL 489", "CSA C22.2 No. 5"]},
        {"part": "dash", **base, "standards": ["CSA C22.2 No. 5-16"]},
        {"part": "mark", **base, "standards": ["UL 489", "cULus"]},
        {"part": "us", **base, "standards": ["UL 489"]},
    )
    found = chosen(motor(), parts, edition=CSA, available_fault_current="14 kA")

    assert names(found) == ["both", "dash", "mark"]
    assert against(found) == {"us": "duty"}
    assert names(chosen(motor(), parts, available_fault_current="14 kA")) == ["both", "mark", "us"]


def test_an_unknown_edition_is_refused_with_those_that_are_known() -> None:
    with pytest.raises(InvalidDocument) as refused:
        load_circuit(circuit(motor(), edition="IEC 61439-2:2002"))

    (problem,) = refused.value.problems
    assert (problem.pointer, problem.code) == ("/edition", "unknown-edition")
    assert IEC in problem.detail


def test_a_choice_by_ul_508a_says_nothing_of_editions() -> None:
    named = load_circuit(circuit(motor(), edition="UL 508A:2018"))
    method = select(named, shop()).as_dict()["method"]

    assert set(method) == {"tables_digest", "catalogue_digest"}
    assert "amperes-sized-by-nec" not in codes(motor(), edition="UL 508A:2018")
    assert practice("UL 508A:2013").standard == practice("UL 508A:2018").standard == "UL 508A"


@pytest.mark.parametrize("seed", range(60))
def test_what_a_device_breaks_is_what_the_rating_of_a_panel_makes_of_it(seed: int) -> None:
    """The same capacities in a panel, rated by the same edition with the same options."""
    draw = random.Random(seed)
    voltages = ("230 V", "400 V", "230/400 V", "690 V")
    stated = [
        breaks(
            draw.choice(["6 kA", "10 kA", "25 kA", "50 kA"]), draw.choice(["icu", "ics", "icn"]), draw.choice(voltages)
        )
        for _ in range(draw.randint(1, 5))
    ]
    capacities = list({(each["voltage"], each["kind"]): each for each in stated}.values())
    options = {name: draw.random() < 0.4 for name in ("skilled_persons_only", "service_breaking_capacity")}
    system = draw.choice(["solidly_grounded_wye", "ungrounded_delta"])
    part = breaker("B", *capacities)
    fields = {"voltage": "400 V", "system": system, "options": options, "edition": IEC, "target": "1 A"}
    found = chosen({"heater": {"kw": "13 kW"}}, shop(part), **fields)
    document = panel(
        {**{k: v for k, v in part.items() if k != "part"}, "id": "FC1", "fed_from": "S"},
        {"id": "EH1", "kind": "heater", "fed_from": "FC1", "location": "field"},
        supply={"voltage": "400 V", "system": system},
        edition=IEC,
        options=options,
    )
    rated = sccr.rate(document).rating

    assert bool(found.suitable) == (rated is not None), seed
    assert not found.suitable or found.suitable[0].interrupting == rated.current, seed
