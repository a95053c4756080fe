"""From a rating to the fields of the nameplate (method, section 9), or to the reason why there is none."""

from copy import deepcopy
from typing import Any

import pytest

import sccr
from sccr.nameplate import NameplateMismatch
from sccr.nameplate import NameplateRefused
from sccr.nameplate import RecordReference
from sccr.nameplate import nameplate
from sccr.nameplate import refusal
from sccr.report.cautions import CAUTIONS
from tests.drawing import breaker
from tests.drawing import motor
from tests.drawing import panel
from tests.drawing import part
from tests.nameplate.plates import FIXTURES
from tests.nameplate.plates import MARKED
from tests.nameplate.plates import Document
from tests.nameplate.plates import catalogue
from tests.nameplate.plates import demo
from tests.nameplate.plates import demo_plate
from tests.nameplate.plates import plate_of
from tests.nameplate.plates import silo


def test_every_field_of_section_9_of_the_largest_demo_panel() -> None:
    found = demo_plate("whole_line").as_dict()

    assert found.pop("record")["id"] == "01JD0M8TT9CQ8Z5B2W7E4R6KNV"
    assert found.pop("conditions") == sccr.rate(demo("whole_line"), catalogue()).as_dict()["conditions"]
    supplies = found.pop("supplies")
    assert found == {
        "format": "nameplate/1",
        "maker": "Thistledown Mill Machinery (fictional)",
        "designation": "LINE-15",
        "title": "Intake, drying and loading line",
        "revision": "C",
        "order": "TO-24031",
        "serial": "TM-0015",
        "diagram_number": "TM-1015",
        "enclosure_type": "Type 12",
        "rating": {
            "current": "10 kA",
            "current_amperes": 10_000,
            "voltage": "480Y/277 V",
            "text": "10 kA rms symmetrical, 480Y/277 V maximum",
        },
        "largest_load": {
            "component": "-MA9",
            "kind": "motor",
            "full_load_current": "52 A",
            "full_load_current_amperes": 52,
        },
        "loads_without_current": [],
        "more_than_one_disconnect": True,
        "disconnects": ["-FC1", "-FC30"],
        "missing": [],
        "cautions": list(CAUTIONS),
    }
    assert [s["id"] for s in supplies] == ["MAINS", "LIGHTS"]
    assert supplies[1] == {
        "id": "LIGHTS",
        "voltage": "240/120 V",
        "phases": 1,
        "frequency": "60 Hz",
        "full_load_current": "18 A",
        "full_load_current_amperes": 18,
        "rating": {
            "current": "14 kA",
            "current_amperes": 14_000,
            "voltage": "240/120 V",
            "text": "14 kA rms symmetrical, 240/120 V maximum",
        },
        "protective_device": {
            "component": "-FC30",
            "device": "circuit breaker",
            "location": "panel",
            "part": supplies[1]["protective_device"]["part"],
            "max_ampere_rating": "30 A",
            "max_ampere_rating_amperes": 30,
        },
        "required_upstream_protection": None,
        "available_fault_current": {"current": "6 kA", "current_amperes": 6_000},
        "available_fault_current_date": "2026-04-08",
    }


def test_a_rating_that_rests_on_a_device_outside_names_its_type_class_and_amperes() -> None:
    supply = demo_plate("upstream_protection").as_dict()["supplies"][0]

    device = supply["required_upstream_protection"]
    assert device["device"] == "class J fuse"
    assert device["max_ampere_rating"] == "100 A"
    assert device["location"] == "field"
    assert supply["protective_device"] == device


def test_an_upstream_device_that_the_rating_does_not_need_is_not_required() -> None:
    document = silo()
    document["supplies"][0]["upstream_protection"] = {"device": "circuit_breaker", "ampere_rating": "60 A"}
    supply = plate_of(document).supplies[0]

    assert supply.required_protection is None
    assert supply.protective_device is not None
    assert supply.protective_device.ampere_rating == 60_000


def test_a_direct_supply_has_neither_phases_nor_frequency_and_misses_neither() -> None:
    found = demo_plate("dc_conveyor")

    assert found.supplies[0].voltage == "48 V DC"
    assert found.supplies[0].phases is None
    assert found.missing == ()
    assert found.rating.text == "5 kA, 60 V DC maximum"


def test_phases_that_are_not_stated_are_those_of_the_system() -> None:
    assert plate_of(silo()).supplies[0].phases == 3


STATED = [
    (("panel", "builder"), "/maker"),
    (("panel", "drawing"), "/diagram_number"),
    (("panel", "enclosure_type"), "/enclosure_type"),
    (("supplies", 0, "frequency"), "/supplies/0/frequency"),
    (("supplies", 0, "full_load_current"), "/supplies/0/full_load_current"),
    (("supplies", 0, "available_fault_current"), "/supplies/0/available_fault_current"),
    (("supplies", 0, "available_fault_current_date"), "/supplies/0/available_fault_current_date"),
    (("components", 0, "ampere_rating"), "/supplies/0/protective_device/max_ampere_rating"),
    (("components", 2, "full_load_current"), "/largest_load"),
]


@pytest.mark.parametrize(("place", "pointer"), STATED, ids=[pointer for _, pointer in STATED])
def test_each_field_that_is_not_stated_is_listed_where_it_is_null(place: tuple[Any, ...], pointer: str) -> None:
    document = silo()
    assert plate_of(document).missing == ()
    holder: Any = document
    for name in place[:-1]:
        holder = holder[name]
    del holder[place[-1]]

    found = plate_of(document)

    assert found.missing == (pointer,)
    assert resolved(found.as_dict(), pointer) is None


def test_all_that_may_be_missing_is_listed_at_once() -> None:
    document = panel(breaker("FC1"), part("load", "E1", "FC1"), panel={"designation": "X"})
    found = plate_of(document)

    assert found.loads_without_current == ("E1",)
    assert len(found.missing) == 9
    assert all(resolved(found.as_dict(), pointer) is None for pointer in found.missing)


def resolved(fields: Any, pointer: str) -> Any:
    for name in pointer.split("/")[1:]:
        fields = fields[int(name)] if isinstance(fields, list) else fields[name]
    return fields


@pytest.mark.parametrize("name", sorted(path.stem for path in (FIXTURES / "panels").glob("*.json")))
def test_a_demo_panel_has_a_nameplate_or_a_reason(name: str) -> None:
    document = demo(name)
    rating = sccr.rate(document, catalogue())
    reason = refusal(rating)

    assert (reason is None) == (name in MARKED)
    if reason is None:
        assert nameplate(rating, document, None, catalogue()).rating == rating.rating
    else:
        with pytest.raises(NameplateRefused, match="no nameplate: ") as refused:
            nameplate(rating, document, None, catalogue())
        assert refused.value.reason == reason


def test_a_rating_below_the_available_current_is_refused_with_both_numbers() -> None:
    document = silo()
    document["supplies"][0]["available_fault_current"] = "18.001 kA"

    assert refusal(sccr.rate(document)) == "supply S is rated 18 kA, below the available 18.001 kA"


@pytest.mark.parametrize("available", ["18 kA", None])
def test_a_rating_equal_to_the_available_current_or_without_one_is_marked(available: str | None) -> None:
    document = silo()
    del document["supplies"][0]["available_fault_current"]
    if available:
        document["supplies"][0]["available_fault_current"] = available

    assert refusal(sccr.rate(document)) is None


def test_one_supply_of_two_that_is_not_covered_is_enough() -> None:
    document = silo()
    second = {**document["supplies"][0], "id": "T", "available_fault_current": "70 kA"}
    document["supplies"].append(second)
    document["components"] += [breaker("FC2", "T"), motor("MA2", "FC2", full_load_current="3 A")]

    assert refusal(sccr.rate(document)) == "supply T is rated 65 kA, below the available 70 kA"


def test_a_missed_target_of_the_order_is_no_reason() -> None:
    assert refusal(sccr.rate({**silo(), "target": "65 kA"})) is None


def test_a_computed_current_is_on_the_plate_and_refuses_it_as_a_stated_one_does() -> None:
    document = demo("computed_source")
    assert refusal(sccr.rate(document)) == (
        "supply MAINS: the available 9.527 kA at its X/R is more than is interrupted by -FC2"
    )
    device = next(component for component in document["components"] if component["id"] == "-FC2")
    device["interrupting_ratings"][0]["current"] = "14 kA"
    found = plate_of(document).as_dict()["supplies"][0]

    assert found["available_fault_current"] == {"current": "9.527 kA", "current_amperes": 9_527}
    assert found["available_fault_current_date"] == "2026-04-02"


def test_a_withheld_rating_is_refused_with_its_errors() -> None:
    reason = refusal(sccr.rate(demo("supplementary_as_branch"), catalogue()))

    assert reason is not None
    assert reason.startswith("the rating is withheld: -FC2: a supplementary protector is no branch-circuit protection")


def test_many_errors_are_counted() -> None:
    low = [breaker(f"FC{number}", voltage="240 V") for number in range(9)]
    rating = sccr.rate(panel(*low, *(motor(f"MA{number}", f"FC{number}") for number in range(9))))
    errors = [f for f in rating.findings if f.severity == "error"]
    reason = refusal(rating)

    assert len(errors) > 5
    assert reason is not None
    assert reason.endswith(f"; and {len(errors) - 5} more")


def test_a_panel_that_needs_no_rating_is_refused_and_says_so() -> None:
    reason = refusal(sccr.rate(panel(part("power_supply", "TB1", "S", circuit="control"))))

    assert reason is not None
    assert reason.startswith("no rating is marked; ")


def changed(document: Document) -> Document:
    other = deepcopy(document)
    other["panel"]["revision"] = "Z"
    return other


def test_rating_document_catalogue_and_record_must_belong_together() -> None:
    document = demo("whole_line")
    rating = sccr.rate(document, catalogue())

    with pytest.raises(NameplateMismatch, match="the document is not the one"):
        nameplate(rating, changed(document), None, catalogue())
    with pytest.raises(NameplateMismatch, match="the catalogue is not the one"):
        nameplate(rating, document)
    with pytest.raises(NameplateMismatch, match="the catalogue is not the one"):
        nameplate(sccr.rate(silo()), silo(), None, catalogue())
    with pytest.raises(NameplateMismatch, match="the document of the record"):
        nameplate(rating, document, RecordReference("01J", "0" * 64), catalogue())


def test_what_a_part_states_in_the_catalogue_counts() -> None:
    found = demo_plate("whole_line").supplies[0].protective_device

    assert found is not None
    assert (found.id, found.part, found.ampere_rating) == ("-FC1", "MAIZE-250", 250_000)
