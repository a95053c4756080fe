"""The dated record."""

import json

import pytest

from sccr.fault_current import record
from tests.fault_current.drawing import calculated
from tests.fault_current.drawing import site
from tests.fault_current.drawing import transformer
from tests.fault_current.drawing import utility


def test_record_holds_value_date_basis_and_how_it_came_about() -> None:
    result = calculated(site(utility("500 MVA"), transformer(), title="Elevator 3"))
    made = json.loads(json.dumps(record(result, "2026-03-31")))

    assert made["date"] == "2026-03-31" and made["title"] == "Elevator 3"
    assert made["available_fault_current"]["current_amperes"] * 1000 == result.available
    assert any("409.22" in each for each in made["basis"]) and any("670.5" in each for each in made["basis"])
    assert made["derivation"] and made["method"]["tables_digest"] and made["document_digest"]


def test_no_record_of_what_is_not_established() -> None:
    with pytest.raises(ValueError, match="no-impedance"):
        record(calculated(site(utility())), "2026-03-31")


def test_no_record_without_a_date() -> None:
    with pytest.raises(ValueError, match="2026"):
        record(calculated(site(utility("500 MVA"), transformer())), "31.3.2026")
