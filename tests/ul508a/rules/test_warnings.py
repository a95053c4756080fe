"""What changes no rating but must be seen (method, section 8)."""

import pytest

from sccr import rate
from tests.drawing import behind_fuse
from tests.drawing import breaker
from tests.drawing import codes
from tests.drawing import contactor
from tests.drawing import fuse
from tests.drawing import kiloamperes
from tests.drawing import motor
from tests.drawing import panel
from tests.drawing import part
from tests.drawing import transformer

WYE = {"voltage": "480Y/277 V", "system": "solidly_grounded_wye"}


@pytest.mark.parametrize(("available", "warned"), [("14 kA", False), ("14.001 kA", True)])
def test_an_interrupting_rating_below_the_available_current(available: str, warned: bool) -> None:
    """NFPA 70 (NEC) 110.9."""
    document = panel(breaker("FC1", "S", "14 kA"), supply={**WYE, "available_fault_current": available})

    assert ("interrupting-below-available" in codes(document, "warning")) == warned


def test_devices_behind_a_transformer_are_not_held_to_the_supplys_current() -> None:
    document = panel(
        breaker("FC1", "S", "35 kA"),
        transformer("TA1", "FC1", "5 kVA", "120 V", phases=1),
        breaker("FC2", "TA1", "5 kA"),
        supply={**WYE, "available_fault_current": "30 kA"},
    )

    assert "interrupting-below-available" not in codes(document)


@pytest.mark.parametrize(("available", "warned"), [("5 kA", False), ("5.001 kA", True)])
def test_a_rating_below_the_available_current(available: str, warned: bool) -> None:
    """NFPA 70 (NEC) 409.22(A), 670.5."""
    document = panel(breaker("FC1"), contactor("KM1", "FC1"), supply={**WYE, "available_fault_current": available})

    assert ("rating-below-available" in codes(document, "warning")) == warned


def test_more_accessories_than_a_breaker_takes() -> None:
    one, two = ["auxiliary contact"], ["auxiliary contact", "shunt trip"]

    assert "too-many-accessories" not in codes(panel(breaker("FC1", accessories=one)))
    assert "too-many-accessories" in codes(panel(breaker("FC1", accessories=two)), "warning")
    assert "too-many-accessories" not in codes(panel(breaker("FC1", accessories=two, accessory_limit=2)))


def test_an_unclaimed_rating_is_a_warning_where_the_table_takes_its_place() -> None:
    tested = behind_fuse("100 kA", ["J"], "30 A")
    plain = {"current": "10 kA", "voltage": "600 V"}

    def with_ratings(*ratings: dict, device: dict | None = None) -> dict:
        return panel(device or breaker("FC1"), contactor("KM1", "FC1", short_circuit_ratings=list(ratings)))

    assert "rating-not-claimed" in codes(with_ratings(tested), "warning")
    assert "rating-not-claimed" in codes(with_ratings(plain, tested), "note")
    held = with_ratings(tested, behind_fuse("50 kA", ["CC"], "30 A"), device=fuse("FC1", "S", "J", "30 A"))
    assert "rating-not-claimed" not in codes(held)


def test_parts_that_were_not_looked_up_are_named() -> None:
    assert "part-not-looked-up" in codes(panel(breaker("FC1", current=None, part="GB-1")), "warning")
    assert "part-not-looked-up" not in codes(panel(breaker("FC1", part="GB-1")))


def test_a_supplementary_protector_behind_a_device_that_feeds_branch_devices() -> None:
    document = panel(
        breaker("QA1"), breaker("FC1", "QA1"), part("supplementary_protector", "FC2", "QA1"), motor("MA1", "FC2")
    )

    assert "supplementary-behind-feeder" in codes(document, "warning")
    assert kiloamperes(document) == 0.2


def test_a_supply_that_feeds_nothing() -> None:
    supplies = [{"id": "A", **WYE}, {"id": "B", **WYE}]

    assert "supply-without-load" in codes(panel(breaker("FC1", "A"), supplies=supplies), "note")


def test_findings_come_with_errors_first() -> None:
    document = panel(breaker("FC1", accessories=["a", "b"]), contactor("KM1", "S"), motor("MA1", "KM1"))
    severities = [finding.severity for finding in rate(document).findings]

    assert severities == sorted(severities, key=["error", "warning", "note"].index)
    assert severities[0] == "error"


def test_upstream_protection_that_cannot_be_relied_on_is_said() -> None:
    supply = {**WYE, "id": "S", "upstream_protection": {"device": "circuit_breaker", "part": "GB-9"}}
    document = panel(breaker("FC1"), contactor("KM1", "FC1", "10 kA"), supplies=[supply])

    assert "upstream-not-relied-on" in codes(document, "warning")
