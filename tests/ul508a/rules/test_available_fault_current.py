"""The current available at a supply: stated, computed or both; and devices that were not tested at its X/R."""

from typing import Any

import pytest

from sccr import Rating
from sccr import rate
from sccr.fault_current import fault_current
from sccr.schema.site import load_site
from tests.drawing import WYE
from tests.drawing import Document
from tests.drawing import breaker
from tests.drawing import contactor
from tests.drawing import fuse
from tests.drawing import motor
from tests.drawing import panel
from tests.drawing import part
from tests.drawing import transformer
from tests.drawing import withstands

#: 20 kA at the terminals, X/R 10, nothing between: by UL 489 breakers above 20 kA are tested at X/R 4.899, and
#: √2 (1 + e^(-π/10)) / √2 (1 + e^(-π/4.899)) = 1.7304 / 1.5266 = 1.1335, so that 20 kA weigh as much as 22.67 kA.
STIFF = {"utility": {"available": "20 kA", "voltage": "480Y/277 V", "x_over_r": 10}}
#: The same with X/R 4, below that of every test above 20 kA.
SOFT = {"utility": {"available": "20 kA", "voltage": "480Y/277 V", "x_over_r": 4}}
DATED = {"available_fault_current_date": "2026-03-31"}

SITE = {
    "utility": {"available": "500 MVA", "voltage": "13.8 kV", "x_over_r": 10},
    "elements": [
        {
            "transformer": {
                "kva": "1000 kVA",
                "primary": "13.8 kV",
                "secondary": "480Y/277 V",
                "impedance": "5.75 %",
                "impedance_tolerance": "10 %",
                "x_over_r": 6,
            }
        },
        {"motors": {"full_load_current": "100 A"}},
        {"conductor": {"size": "500 kcmil", "material": "copper", "conduit": "steel", "sets": 2, "length": "164 ft"}},
    ],
}


def at(source: Document | None, **stated: Any) -> Document:
    """A supply with a source, and what is stated beside it."""
    return {**WYE, **stated, **({} if source is None else {"source": source})}


def rated(source: Document | None, *components: Document, **stated: Any) -> Rating:
    return rate(panel(*(components or (breaker("FC1"),)), supply=at(source, **stated)))


def said(rating: Rating, code: str) -> list[tuple[str, str | None, str]]:
    return [(f.severity, f.component, f.message) for f in rating.findings if f.code == code]


class TestWhatCounts:
    def test_what_is_computed_is_held_against_the_rating(self) -> None:
        """Equality covers; one step less does not."""
        for current, adequate in (("20 kA", True), ("19.999 kA", False)):
            rating = rated(SOFT, breaker("FC1", current="25 kA"), contactor("QA1", "FC1", current), motor("MA1", "QA1"))
            comparison = rating.adequacy.supplies[0]
            assert (comparison.current, comparison.adequate) == (20_000_000, adequate)
            assert comparison.basis == "computed from the source of the supply, method ohmic"
            assert bool(said(rating, "rating-below-available")) is not adequate

    def test_it_is_what_the_calculation_gives(self) -> None:
        calculated = fault_current(load_site(SITE))
        found = rated(SITE, **DATED).supplies[0].as_dict()["available_fault_current"]

        assert found["current_amperes"] * 1000 == calculated.available
        assert (found["basis"], found["method"], found["fault"]) == ("computed", "ohmic", "three_phase")
        assert found["x_over_r"] == calculated.as_dict()["x_over_r"]
        assert (found["date"], found["record"]["date"]) == ("2026-03-31", "2026-03-31")
        assert found["record"]["nodes"] == calculated.as_dict()["nodes"]
        assert found["stated"] is None and found["computed"]["current_amperes"] == found["current_amperes"]

    @pytest.mark.parametrize(
        ("stated", "counts", "basis", "severity", "how"),
        [
            ("18 kA", 20_000_000, "computed", "warning", "-10.0 %: the computed one counts"),
            ("19.8 kA", 20_000_000, "computed", "note", "-1.0 %: the computed one counts"),
            ("20 kA", 20_000_000, "computed", "note", "+0.0 %: the computed one counts"),
            ("25 kA", 25_000_000, "given", "warning", "+25.0 %: the stated one counts"),
            ("20.4 kA", 20_400_000, "given", "note", "+2.0 %: the stated one counts"),
            ("20.401 kA", 20_401_000, "given", "warning", "+2.0 %: the stated one counts"),
        ],
    )
    def test_of_both_the_higher_counts_and_their_difference_is_said(
        self, stated: str, counts: int, basis: str, severity: str, how: str
    ) -> None:
        rating = rated(SOFT, available_fault_current=stated)
        available = rating.supplies[0].available
        ((said_as, _, message),) = said(rating, "fault-currents-differ")

        assert available is not None and (available.current, available.basis) == (counts, basis)
        assert rating.adequacy.supplies[0].current == counts
        assert said_as == severity and message.endswith(how) and stated in message
        assert available.record is not None and available.record["date"] is None

    def test_what_is_stated_alone_is_given(self) -> None:
        found = rated(None, available_fault_current="18 kA", **DATED).supplies[0].as_dict()["available_fault_current"]

        assert (found["current_amperes"], found["basis"], found["date"]) == (18_000, "given", "2026-03-31")
        assert (found["computed"], found["method"], found["x_over_r"], found["record"]) == (None,) * 4
        assert rated(None).supplies[0].as_dict()["available_fault_current"] is None

    def test_the_rating_itself_does_not_move(self) -> None:
        for source in (STIFF, SOFT, SITE):
            assert rated(source).rating == rated(None).rating

    def test_a_device_below_the_computed_current_is_named(self) -> None:
        rating = rated(SOFT, breaker("FC1", current="18 kA"))
        assert "20 kA (NEC 110.9)" in said(rating, "interrupting-below-available")[0][2]

    def test_a_withheld_panel_says_what_is_available_all_the_same(self) -> None:
        rating = rated(SOFT, contactor("QA1"), motor("MA1", "QA1"))

        assert rating.status == "withheld" and not rating.adequacy.supplies[0].adequate
        assert rating.adequacy.supplies[0].current == 20_000_000


class TestWhatIsSaid:
    def test_every_step_of_it_stands_in_the_derivation(self) -> None:
        steps = [step for step in rated(SITE).derivation if step.basis == "fault current"]
        nodes = fault_current(load_site(SITE)).nodes

        assert [step.statement.split(":")[0] for step in steps] == [
            *(f"source of S, {name}" for name in ("utility", "transformer 1", "motors 1", "conductor 1")),
            "available at S",
        ]
        highest = [node.highest for node in nodes]
        assert [step.after for step in steps] == [
            highest[0] and highest[0].symmetrical,
            highest[1] and highest[1].symmetrical,
            None,
            *[highest[2] and highest[2].symmetrical] * 2,
        ]
        assert "164 ft" in steps[3].statement or "49.987 m" in steps[3].statement
        assert all("Z = " in step.statement for step in steps[:-1])

    def test_the_last_step_says_which_of_two_counts(self) -> None:
        last = rated(SOFT, available_fault_current="25 kA").derivation[-1]
        assert (last.before, last.after) == (20_000_000, 25_000_000) and "25 kA stated" in last.statement

    def test_a_current_that_is_only_stated_has_no_steps(self) -> None:
        derivation = rated(None, available_fault_current="25 kA").derivation
        assert all(step.basis != "fault current" for step in derivation)

    def test_a_calculation_without_a_date_is_to_be_dated(self) -> None:
        assert said(rated(SOFT), "fault-current-not-dated")[0][0] == "note"
        assert not said(rated(SOFT, **DATED), "fault-current-not-dated")

    def test_warnings_of_the_calculation_are_warnings_of_the_panel(self) -> None:
        unsure = {**SITE, "elements": [{"transformer": {**SITE["elements"][0]["transformer"]}}]}
        del unsure["elements"][0]["transformer"]["impedance_tolerance"]

        ((severity, _, message),) = said(rated(unsure), "impedance-tolerance-assumed")
        assert severity == "warning" and message.startswith("source of S: transformer 1: ")
        assert not said(rated(unsure), "one-state-only")  # a note: it stands in the record

    def test_a_calculation_that_contradicts_itself_gives_no_current(self) -> None:
        """√3 was dropped in one of the two figures of the utility."""
        wrong = {"utility": {**STIFF["utility"], "cross_check": "28.8 MVA"}}
        alone, beside = rated(wrong), rated(wrong, available_fault_current="22 kA")

        assert alone.status == "rated"  # the rating does not rest on it
        told = "supply S: no current can be computed from its source (cross-check-differs)"
        assert [tuple(each) for each in alone.findings if each.code == "fault-current-not-established"] == [
            ("warning", "fault-current-not-established", None, "SB4.4", told)
        ]
        assert said(alone, "cross-check-differs")[0][0] == "warning"
        assert alone.supplies[0].available is None and alone.adequacy.as_dict()["adequate"] is None
        assert beside.adequacy.supplies[0].current == 22_000_000
        assert beside.supplies[0].available is not None and beside.supplies[0].available.record is None
        said_beside = said(beside, "fault-current-not-established")
        assert said_beside == [("warning", None, f"{told}; the current that is stated counts")]

    def test_a_source_of_another_system_is_named(self) -> None:
        delta = {"utility": {**SOFT["utility"], "voltage": "480 V"}}

        assert "ungrounded delta" in said(rated(delta), "source-system-differs")[0][2]
        assert not said(rated(SOFT), "source-system-differs")


class TestDevicesTestedAtALowerXOverR:
    def test_a_rating_that_covers_the_multiplied_current_is_a_note(self) -> None:
        rating = rated(STIFF, breaker("FC1", current="23 kA"))
        ((severity, component, message),) = said(rating, "x-over-r-above-test")

        assert (severity, component) == ("note", "FC1")
        assert "× 1.13 = 22.6" in message and "covers it" in message
        assert rating.adequacy.supplies[0].adequate and rating.adequacy.supplies[0].exceeded == ()

    def test_a_rating_that_does_not_makes_the_supply_inadequate_though_not_the_rating_lower(self) -> None:
        rating = rated(STIFF, breaker("FC1", current="22.6 kA"))
        ((severity, component, message),) = said(rating, "interrupting-exceeded-by-x-over-r")
        comparison = rating.adequacy.supplies[0]

        assert (severity, component) == ("warning", "FC1") and "NEC 110.9" in message
        assert rating.rating is not None and rating.rating.current == 22_600_000
        assert comparison.margin == 2_600_000 and not comparison.adequate
        assert comparison.as_dict()["exceeded"] == ["FC1"]
        assert rating.adequacy.as_dict()["adequate"] is False
        assert not said(rating, "rating-below-available")

    def test_a_device_tested_at_a_higher_x_over_r_is_not_named(self) -> None:
        assert not said(rated(SOFT, breaker("FC1", current="22 kA")), "x-over-r-above-test")

    def test_the_band_is_that_of_the_interrupting_rating(self) -> None:
        """X/R 4 is above the 3.18 at which breakers of 20 kA and less are tested."""
        rating = rated(SOFT, breaker("FC1", current="20 kA"))
        assert said(rating, "interrupting-exceeded-by-x-over-r")[0][1] == "FC1"

    def test_fuses_are_held_to_their_own_test(self) -> None:
        """√(1 + 2 e^(-2π/10)) / √(1 + 2 e^(-2π/4.899)) = 1.4382 / 1.2469 = 1.1534: 20 kA weigh 23.07 kA."""
        rating = rated(STIFF, fuse("FC1"))
        assert "× 1.15 = 23.0" in said(rating, "x-over-r-above-test")[0][2]

    def test_what_is_relied_on_upstream_is_looked_at_too(self) -> None:
        upstream = {"device": "circuit_breaker", "ampere_rating": "100 A"}
        upstream["interrupting_ratings"] = [{"voltage": "480 V", "current": "22 kA"}]
        rating = rated(STIFF, breaker("FC1"), upstream_protection=upstream)

        assert ("S" in {component for _, component, _ in said(rating, "interrupting-exceeded-by-x-over-r")}) is True

    def test_parts_that_interrupt_nothing_are_not_looked_at(self) -> None:
        rating = rated(STIFF, breaker("FC1"), contactor("QA1", "FC1", "22 kA"), motor("MA1", "QA1"))
        assert [component for _, component, _ in said(rating, "x-over-r-above-test")] == ["FC1"]

    def test_nor_are_devices_outside_the_panel(self) -> None:
        rating = rated(STIFF, breaker("FC1"), breaker("FC2", "FC1", "14 kA", location="field"))
        assert [component for _, component, _ in said(rating, "x-over-r-above-test")] == ["FC1"]
        assert not said(rating, "interrupting-exceeded-by-x-over-r")

    def test_devices_behind_a_transformer_of_the_panel_see_another_x_over_r(self) -> None:
        behind = breaker("FC2", "TA1", current="14 kA", voltage="120 V")
        load = part("heater", "EH1", "FC2")
        rating = rated(STIFF, breaker("FC1"), transformer("TA1", "FC1", impedance="3 %"), behind, load)
        assert [component for _, component, _ in said(rating, "x-over-r-above-test")] == ["FC1"]

    def test_the_hardest_fault_of_every_state_counts(self) -> None:
        """16 kA at X/R 200 weigh more than 20 kA at X/R 4: 1.9844 / 1.5266 = 1.2999 times as much, 20.8 kA."""
        generator = {"name": "generator", "utility": {"available": "16 kA", "voltage": "480Y/277 V", "x_over_r": 200}}
        rating = rated({**SOFT, "alternates": [generator]}, breaker("FC1", current="65 kA"))
        ((_, _, message),) = said(rating, "x-over-r-above-test")

        assert message.startswith("X/R 200.00") and "16 kA × 1.30" in message
        assert rating.adequacy.supplies[0].current == 20_000_000

    def test_a_higher_current_that_is_stated_is_multiplied(self) -> None:
        rating = rated(STIFF, breaker("FC1", current="28 kA"), available_fault_current="25 kA")
        assert "25 kA × 1.13 = 28.3" in said(rating, "interrupting-exceeded-by-x-over-r")[0][2]

    def test_nothing_is_said_where_x_over_r_is_not_known(self) -> None:
        rating = rated(None, breaker("FC1", current="22 kA"), available_fault_current="20 kA")
        assert not said(rating, "x-over-r-above-test")

    def test_withstand_parts_alone_have_nothing_to_be_said_of(self) -> None:
        block = part("terminal_block", "XD1", "S", short_circuit_ratings=withstands("22 kA"))
        upstream = {"device": "fuse", "fuse_class": "J", "ampere_rating": "100 A"}
        rating = rated(SOFT, block, motor("MA1", "XD1"), upstream_protection=upstream)
        assert not said(rating, "interrupting-exceeded-by-x-over-r")
