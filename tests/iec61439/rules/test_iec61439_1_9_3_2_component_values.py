"""How the ratings of a part are put together (method W, W4, settled readings 1 to 3)."""

from tests.iec61439.drawing import STAR
from tests.iec61439.drawing import Document
from tests.iec61439.drawing import behind_breaker
from tests.iec61439.drawing import behind_gg
from tests.iec61439.drawing import breaker
from tests.iec61439.drawing import contactor
from tests.iec61439.drawing import errors
from tests.iec61439.drawing import fuse
from tests.iec61439.drawing import kiloamperes
from tests.iec61439.drawing import limits
from tests.iec61439.drawing import motor
from tests.iec61439.drawing import panel
from tests.iec61439.drawing import part
from tests.iec61439.drawing import rated
from tests.iec61439.drawing import short_time
from tests.iec61439.drawing import transformer
from tests.iec61439.drawing import value
from tests.iec61439.drawing import worth

TWO = [{"id": "S", **STAR}, {"id": "T", **STAR}]


def two_ways(*ratings: Document) -> Document:
    """A contactor behind a fuse on one path and a breaker on the other."""
    devices = [fuse("F1"), breaker("Q2", "T", "80 kA", ampere_rating="63 A")]
    return panel(*devices, contactor("K1", ["F1", "Q2"], *ratings), motor("M1", "K1"), supplies=TWO)


def test_on_several_paths_the_lowest_counts() -> None:
    assert worth(two_ways(behind_gg("50 kA"), behind_breaker("30 kA")), "K1") == 30


def test_every_path_needs_a_rating() -> None:
    assert errors(two_ways(behind_gg("50 kA"))) == {"K1": "no-rating"}


def test_a_holder_is_rated_with_the_fuse_that_it_carries() -> None:
    holder = part("fused_disconnect_switch", "Q0", conditional_ratings=[behind_gg("80 kA")])
    document = panel(holder, fuse("F1", "Q0"))

    assert worth(document, "Q0") == 80
    rating = rated(document).rating
    assert rating is not None
    assert rating.designation == "Icc"


def test_a_holder_that_carries_another_fuse_is_not() -> None:
    holder = part("fused_disconnect_switch", "Q0", conditional_ratings=[behind_gg("80 kA", "32 A")])

    assert errors(panel(holder, fuse("F1", "Q0"))) == {"Q0": "no-rating"}


def test_what_protects_the_holder_ahead_of_it_does_not_count() -> None:
    device, ratings = breaker("Q1", ampere_rating="63 A"), [behind_gg("20 kA"), behind_breaker("40 kA")]
    holder = part("fuseholder", "X1", "Q1", conditional_ratings=ratings)

    assert worth(panel(device, holder, fuse("F1", "X1")), "X1") == 20
    assert worth(panel(device, holder), "X1") == 40  # it carries none


def test_a_device_on_the_other_side_of_a_transformer_protects_no_part() -> None:
    ratings = {"conditional_ratings": [behind_breaker("50 kA")], "short_time_ratings": [short_time("20 kA")]}
    device = breaker("Q1", ampere_rating="63 A", clearing_time="0.1 s")
    document = panel(device, transformer("T1", "Q1", "20 kVA", "230 V", phases=1), part("switch", "P", "T1", **ratings))

    assert errors(document) == {"P": "no-rating"}
    assert "other side of a transformer" in value(document, "P").because


def test_a_supplementary_protector_protects_nothing() -> None:
    guard = part("supplementary_protector", "F9", "Q1", conditional_ratings=[behind_breaker("20 kA")])
    document = panel(
        breaker("Q1", ampere_rating="63 A"), guard, contactor("K1", "F9", behind_breaker("30 kA")), motor("M1", "K1")
    )

    assert worth(document, "F9") == 20
    assert worth(document, "K1") == 30  # with Q1, not with F9


def test_every_part_that_ties_is_named_and_a_cut_part_gives_way_to_the_device() -> None:
    device = breaker("Q1", current="30 kA", ampere_rating="63 A")
    cut = contactor("K1", "Q1", behind_breaker("50 kA"))
    tying = contactor("K2", "Q1", behind_breaker("30 kA"))
    document = panel(device, cut, tying, motor("M1", "K1"), motor("M2", "K2"))

    assert kiloamperes(document) == 30
    assert limits(document) == ["Q1", "K2"]


def test_a_value_that_upstream_protection_cuts_names_it() -> None:
    upstream = {
        "device": "circuit_breaker",
        "ampere_rating": "63 A",
        "breaking_capacities": [{"current": "25 kA", "voltage": "400 V", "kind": "icu"}],
    }
    cut = contactor("K1", "S", behind_breaker("50 kA"))
    document = panel(cut, motor("M1", "K1"), supply={"upstream_protection": upstream})

    assert kiloamperes(document) == 25
    (limit,) = rated(document).limited_by
    assert "upstream protection" in limit.reason
    assert [next_.rating.current for next_ in rated(document).next_limits] == [50_000_000]
