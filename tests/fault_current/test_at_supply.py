"""The current at a supply of a panel: stated, computed, or the higher of both."""

from dataclasses import replace

import pytest

from sccr.adequacy import AvailableBasis
from sccr.fault_current import fault_current
from sccr.fault_current import record
from sccr.fault_current.at_supply import AtSupply
from sccr.fault_current.at_supply import at_supply
from sccr.panel.panel import Supply
from sccr.panel.voltage import Form
from sccr.panel.voltage import System
from sccr.panel.voltage import Voltage
from sccr.schema.site import load_site
from tests.fault_current.drawing import site
from tests.fault_current.drawing import transformer
from tests.fault_current.drawing import utility

SITE = load_site(site(utility("500 MVA", x_over_r=10), transformer()))
COMPUTED = fault_current(SITE).available or 0
BARE = Supply("MAINS", Voltage(480_000, 277_000, Form.WYE), System.SOLIDLY_GROUNDED_WYE, 3)


def at(stated: int | None = None, date: str | None = None, source: bool = True) -> AtSupply:
    supply = replace(BARE, available_fault_current=stated, available_fault_current_date=date)
    return at_supply(replace(supply, source=SITE if source else None))


@pytest.mark.parametrize(
    ("stated", "counts", "basis"),
    [
        (None, COMPUTED, AvailableBasis.COMPUTED),
        (COMPUTED - 1, COMPUTED, AvailableBasis.COMPUTED),
        (COMPUTED, COMPUTED, AvailableBasis.COMPUTED),
        (COMPUTED + 1, COMPUTED + 1, AvailableBasis.GIVEN),
    ],
)
def test_the_higher_counts(stated: int | None, counts: int, basis: AvailableBasis) -> None:
    found = at(stated).as_result()
    assert found is not None
    assert (found.current, found.basis, found.stated, found.computed) == (counts, basis, stated, COMPUTED)


def test_nothing_is_known_of_a_bare_supply() -> None:
    assert at(source=False).as_result() is None and at(source=False).current is None


def test_a_stated_current_has_neither_method_nor_record() -> None:
    found = at(10_000_000, source=False).as_result()
    assert found is not None
    assert (found.basis, found.method, found.fault, found.x_over_r, found.record) == ("given", None, None, None, None)


def test_the_record_is_dated_where_the_date_can_only_be_its_own() -> None:
    dates = [at(stated, "2026-03-31").as_result() for stated in (None, 10_000_000)]
    assert [each.record["date"] if each and each.record else "none" for each in dates] == ["2026-03-31", None]


def test_an_undated_record_is_whole_but_for_its_date() -> None:
    result = fault_current(SITE)
    assert {**record(result, None), "date": "2026-03-31"} == record(result, "2026-03-31")


def test_what_stands_upstream_is_calculated_once() -> None:
    assert at().calculation is at(10_000_000).calculation
