"""Two ratings side by side."""

import copy

import sccr
from sccr.comparison import Comparison
from sccr.comparison import compare
from tests.drawing import breaker
from tests.drawing import contactor
from tests.drawing import fuse
from tests.drawing import motor
from tests.drawing import panel
from tests.drawing import part
from tests.drawing import withstands


def compared(old: dict, new: dict) -> Comparison:
    return compare(sccr.rate(old).as_dict(), sccr.rate(new).as_dict(), old, new)


def line(relay: str = "5 kA", device: str = "14 kA") -> dict:
    return panel(
        breaker("FC1", "S", device),
        contactor("KM1", "FC1", "25 kA"),
        part("overload_relay", "FR1", "KM1", short_circuit_ratings=withstands(relay)),
        motor("MA1", "FR1"),
    )


def test_equal_documents_differ_in_nothing() -> None:
    found = compared(line(), line())

    assert found.same
    assert (found.added, found.removed, found.changed, found.moved, found.diverges) == ((), (), (), (), None)


def test_a_part_swapped_is_named_with_its_field_and_moves_the_rating() -> None:
    found = compared(line(), line("18 kA"))

    assert (found.before, found.after) == (
        "5 kA rms symmetrical, 600 V maximum",
        "14 kA rms symmetrical, 600 V maximum",
    )
    assert found.difference_amperes == 9_000
    assert [(change.where, change.field) for change in found.changed] == [("FR1", "short_circuit_ratings")]
    assert [(move.component, move.before, move.after) for move in found.moved] == [("FR1", 5_000, 18_000)]
    assert found.why[1] == "FR1, which held it, goes from 5000 A to 18000 A: marked 18 kA at 600 V"
    assert found.why[2] == "now FC1 holds it: marked 14 kA at 600 V"


def test_the_first_diverging_step_is_the_one_of_the_part() -> None:
    found = compared(line(), line("18 kA"))

    assert found.diverges is not None
    assert found.diverges[0]["component"] == found.diverges[1]["component"] == "FR1"


def test_a_changed_credit_shows_in_parts_that_nobody_touched() -> None:
    def behind(amperes: str) -> dict:
        return panel(
            fuse("FU1", "S", "J", amperes),
            fuse("FU2", "FU1", "CC", "15 A"),
            contactor("KM1", "FU2", "10 kA"),
            motor("M", "KM1"),
        )

    found = compared(behind("60 A"), behind("100 A"))

    assert [(move.component, move.before, move.after) for move in found.moved] == [("KM1", 100_000, 10_000)]
    assert [(change.where, change.field) for change in found.changed] == [("FU1", "ampere_rating")]


def test_parts_added_and_removed() -> None:
    new = line()
    new["components"][2] = {**new["components"][2], "id": "FR9"}
    new["components"][3]["fed_from"] = "FR9"
    found = compared(line(), new)

    assert (found.added, found.removed) == (("FR9",), ("FR1",))
    assert "FR1, which held it, no longer counts or is gone" in found.why


def test_supply_target_and_method_changes_are_named() -> None:
    new = copy.deepcopy(line())
    new["supplies"][0]["available_fault_current"] = "10 kA"
    new["target"] = "14 kA"
    new["edition"] = "UL 508A:2013"
    found = compared(line(), new)

    assert {(change.where, change.field) for change in found.changed} == {
        ("S", "available_fault_current"),
        ("panel", "target"),
        ("panel", "edition"),
    }
    assert [change.field for change in found.method_changed] == ["edition"]


def test_a_rating_that_becomes_withheld_says_which_error_did_it() -> None:
    found = compared(line(), {**line(), "supplies": [{"id": "S", "voltage": "690 V", "system": "ungrounded_delta"}]})

    assert (found.after, found.difference_amperes) == ("withheld", None)
    assert any(reason.startswith("now an error: FC1: ") for reason in found.why)
    assert any(
        reason.startswith("no longer an error: FC1: ")
        for reason in compared(
            {**line(), "supplies": [{"id": "S", "voltage": "690 V", "system": "ungrounded_delta"}]}, line()
        ).why
    )


def test_as_dict_is_json() -> None:
    import json

    assert json.loads(json.dumps(compared(line(), line("18 kA")).as_dict()))["same"] is False
