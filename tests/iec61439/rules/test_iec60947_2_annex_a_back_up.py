"""Back-up protection (method B6; IEC 60947-2 Annex A, from memory)."""

from typing import Any

from tests.iec61439.drawing import STAR
from tests.iec61439.drawing import Document
from tests.iec61439.drawing import breaker
from tests.iec61439.drawing import codes
from tests.iec61439.drawing import errors
from tests.iec61439.drawing import fuse
from tests.iec61439.drawing import limits
from tests.iec61439.drawing import panel
from tests.iec61439.drawing import transformer
from tests.iec61439.drawing import value
from tests.iec61439.drawing import worth


def back_up(current: str = "50 kA", amperes: str = "63 A", voltage: str = "400 V") -> list[Document]:
    line_side = {"device": "fuse", "utilization_categories": ["gG"], "max_ampere_rating": amperes}
    return [{"line_side": line_side, "current": current, "voltage": voltage, "reference": "test 7"}]


def small(fed_from: Any = "F1", **more: Any) -> Document:
    more.setdefault("back_up_ratings", back_up())
    return breaker("Q2", fed_from, "10 kA", **more)


def test_behind_the_named_device_the_back_up_counts() -> None:
    document = panel(fuse("F1"), small())

    assert worth(document, "Q2") == 50
    assert value(document, "Q2").basis == "back-up"
    assert "test 7" in value(document, "Q2").because


def test_it_is_cut_by_what_the_device_ahead_breaks() -> None:
    document = panel(fuse("F1", current="40 kA"), small())

    assert worth(document, "Q2") == 40
    assert limits(document) == ["F1"]


def test_a_lower_back_up_does_not_lower_its_own_capacity() -> None:
    assert worth(panel(fuse("F1"), small(back_up_ratings=back_up("8 kA"))), "Q2") == 10
    assert worth(panel(fuse("F1", current="5 kA"), small()), "Q2") == 10


def test_another_device_ahead_gives_none() -> None:
    assert worth(panel(fuse("F1", amperes="80 A"), small()), "Q2") == 10
    assert worth(panel(breaker("F1"), small()), "Q2") == 10
    assert "rating-not-claimed" in codes(panel(breaker("F1"), small()))


def test_every_path_must_have_the_named_device() -> None:
    supplies = [{"id": "S", **STAR}, {"id": "T", **STAR}]
    named = panel(fuse("F1"), fuse("F3", "T"), small(["F1", "F3"]), supplies=supplies)
    mixed = panel(fuse("F1"), breaker("F3", "T"), small(["F1", "F3"]), supplies=supplies)
    open_path = panel(fuse("F1"), small(["F1", "T"]), supplies=supplies)

    assert worth(named, "Q2") == 50
    assert worth(mixed, "Q2") == 10
    assert worth(open_path, "Q2") == 10


def test_none_across_a_transformer() -> None:
    document = panel(fuse("F1"), transformer("T1", "F1", "100 kVA", "400 V", phases=3), small("T1"))

    assert worth(document, "Q2") == 10


def test_at_too_low_a_voltage_it_does_not_count() -> None:
    assert worth(panel(fuse("F1"), small(back_up_ratings=back_up(voltage="230 V"))), "Q2") == 10


def test_a_device_without_a_capacity_of_its_own_takes_none() -> None:
    device = breaker("Q2", "F1", None, back_up_ratings=back_up())

    assert errors(panel(fuse("F1"), device)) == {"Q2": "no-breaking-capacity"}


def test_a_device_outside_the_panel_may_give_it() -> None:
    upstream = {"device": "fuse", "utilization_category": "gG", "ampere_rating": "63 A"}
    able = {**upstream, "breaking_capacities": [{"current": "80 kA", "voltage": "400 V", "kind": "fuse"}]}

    assert worth(panel(small("S"), supply={"upstream_protection": able}), "Q2") == 50
    assert worth(panel(small("S"), supply={"upstream_protection": upstream}), "Q2") == 10
