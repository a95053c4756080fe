"""SB4.2: other classes and other breakers than the one tested (method R4, R5)."""

import pytest

from sccr import load_panel
from sccr.ul508a.rules.sb4_2_tested_combinations import fitted_rows
from sccr.ul508a.subject import subject
from tests.drawing import behind_breaker
from tests.drawing import behind_fuse
from tests.drawing import breaker
from tests.drawing import contactor
from tests.drawing import fuse
from tests.drawing import interrupts
from tests.drawing import kiloamperes
from tests.drawing import limits
from tests.drawing import motor
from tests.drawing import panel
from tests.drawing import part
from tests.drawing import rate
from tests.drawing import withstands


def with_device(device: dict, rating: dict, **more: object) -> dict:
    return panel(device, contactor("KM1", device["id"], short_circuit_ratings=[rating]), motor("MA1", "KM1"), **more)


@pytest.mark.parametrize(
    ("fitted", "amperes", "specified", "maximum", "marked", "expected"),
    [
        # Table SB4.2, by hand: fitted peak and I²t against the specified row, in the column of the marked current.
        ("CC", "30 A", "J", "30 A", "100 kA", 100),  # 7.5/7 against 7.5/7: equality passes
        ("CC", "20 A", "J", "30 A", "200 kA", 200),  # 5/3 against 12/7
        ("J", "30 A", "RK1", "30 A", "50 kA", 50),  # 6/7 against 6/10
        ("J", "60 A", "RK1", "60 A", "100 kA", 100),  # 10/30 against 12/40
        ("RK5", "30 A", "J", "30 A", "100 kA", 5),  # 11/50 against 7.5/7
        ("J", "30 A", "CC", "30 A", "100 kA", 100),  # 7.5/7 against 7.5/7
        ("J", "30 A", "CC", "20 A", "100 kA", 5),  # above the stated maximum
        ("CC", "25 A", "J", "20 A", "100 kA", 5),  # above the stated maximum, though within the row
        ("J", "100 A", "RK5", "100 A", "200 kA", 200),  # 20/80 against 32/500
        ("T", "60 A", "J", "60 A", "65 kA", 65),  # between columns: 100 kA column, 10/30 against 10/30
        ("H", "30 A", "J", "30 A", "100 kA", 5),  # not current-limiting
        ("G", "30 A", "J", "30 A", "100 kA", 100),  # 7/7 against 7.5/7
        ("G", "30 A", "J", "30 A", "50 kA", 5),  # class G has no 50 kA column: the same column is needed in both
        ("G", "30 A", "J", "30 A", "200 kA", 100),  # no 200 kA column: claimed at 100 kA
        ("J", "30 A", "G", "30 A", "100 kA", 5),  # 7.5 against 7
        ("J", "30 A", "K5", "30 A", "100 kA", 5),  # only classes of the table are substituted
        ("CF", "30 A", "J", "30 A", "200 kA", 200),  # class CF is read as class J
        ("J", "30 A", "CF", "30 A", "100 kA", 5),  # CF is not among the classes that may be replaced
        ("RK5", "600 A", "L", "800 A", "200 kA", 100),  # 100 above 80 at 200 kA, 80 equal to 80 at 100 kA
    ],
)
def test_r4_another_class_needs_peak_and_i2t_within_the_specified_ones(
    fitted: str, amperes: str, specified: str, maximum: str, marked: str, expected: float
) -> None:
    device = fuse("FC1", "S", fitted, amperes, interrupting_ratings=interrupts("200 kA"))

    assert kiloamperes(with_device(device, behind_fuse(marked, [specified], maximum))) == expected


def test_r4_substitution_stops_at_the_last_column() -> None:
    device = fuse("FC1", "S", "CC", "30 A", interrupting_ratings=interrupts("300 kA"))

    assert kiloamperes(with_device(device, behind_fuse("300 kA", ["J"], "30 A"))) == 200


def test_settled_7_a_combination_that_specifies_rk1_alone_falls_back_behind_an_r_holder() -> None:
    device = fuse("FC1", "S", "RK1", "60 A")

    assert kiloamperes(with_device(device, behind_fuse("100 kA", ["RK1"], "60 A"))) == 5
    assert kiloamperes(with_device(device, behind_fuse("100 kA", ["RK5"], "60 A"))) == 100


@pytest.mark.parametrize(
    ("voltage", "specified", "maximum", "expected"),
    [
        ("300 V", "J", "60 A", 100),  # the 300 V row: 9/15 against 10/30
        ("600 V", "J", "60 A", 100),  # the 600 V row: 10/30 against 10/30
        (None, "J", "60 A", 100),  # both rows pass
        ("300 V", "CC", "30 A", 5),  # amperes above
    ],
)
def test_settled_8_class_t_by_its_voltage(voltage: str | None, specified: str, maximum: str, expected: int) -> None:
    more = {"voltage_rating": voltage} if voltage else {}
    device = fuse("FC1", "S", "T", "60 A", **more)
    supply = {"voltage": "240 V", "system": "ungrounded_delta"}

    assert kiloamperes(with_device(device, behind_fuse("100 kA", [specified], maximum), supply=supply)) == expected


def test_settled_8_a_specified_class_t_reads_the_300_v_row() -> None:
    """J 30 A lets 7.5 kA through at 100 kA: above 7 kA of T 30 A at 300 V, though within 7.5 kA at 600 V."""
    assert kiloamperes(with_device(fuse("FC1", "S", "J", "30 A"), behind_fuse("100 kA", ["T"], "30 A"))) == 5


def test_a_fuse_of_unstated_amperes_matches_nothing() -> None:
    device = part("fuse", "FC1", "S", fuse_class="J")

    assert kiloamperes(with_device(device, behind_fuse("100 kA", ["J"], "30 A"))) == 5


def test_r7_a_fuse_in_a_holder_that_takes_lower_classes_matches_nothing() -> None:
    holder = part("fuseholder", "XF1", "S", fuse_class="midget", short_circuit_ratings=withstands("200 kA"))
    document = panel(
        holder,
        fuse("FC1", "XF1", "CC", "30 A"),
        contactor("KM1", "FC1", short_circuit_ratings=[behind_fuse("100 kA", ["CC"], "30 A")]),
        motor("MA1", "KM1"),
    )

    assert kiloamperes(document) == 5


@pytest.mark.parametrize(
    ("fields", "expected"),
    [
        ({"part": "GB-3P-30", "ampere_rating": "30 A"}, 65),
        ({"part": "GB-3P-30", "ampere_rating": "20 A"}, 65),
        ({"part": "GB-3P-30", "ampere_rating": "40 A"}, 5),
        ({"part": "GB-3P-30"}, 5),  # amperes not stated, a maximum asked for
        ({"part": "GB-3P-32", "ampere_rating": "30 A"}, 5),
        ({"ampere_rating": "30 A"}, 5),
    ],
)
def test_r5_a_breaker_must_be_the_same_part_within_its_amperes(fields: dict, expected: int) -> None:
    device = breaker("FC1", "S", "100 kA", **fields)

    assert kiloamperes(with_device(device, behind_breaker("65 kA", ["GB-3P-30"], "30 A"))) == expected


def test_r5_the_combination_is_worth_no_more_than_its_breaker_interrupts() -> None:
    device = breaker("FC1", "S", "35 kA", part="GB-3P-30")
    document = with_device(device, behind_breaker("65 kA", ["GB-3P-30"]))

    assert kiloamperes(document) == 35
    assert limits(document) == ["FC1"]


def test_r5_no_breaker_for_a_fuse_and_no_fuse_for_a_breaker() -> None:
    assert kiloamperes(with_device(breaker("FC1", "S", "100 kA"), behind_fuse("100 kA", ["J"], "30 A"))) == 5
    fitted = fuse("FC1", "S", "J", "30 A", part="GB-3P-30")
    assert kiloamperes(with_device(fitted, behind_breaker("100 kA", ["GB-3P-30"]))) == 5


def test_a_breaker_rating_that_names_no_part_never_holds() -> None:
    rating = {
        "current": "65 kA",
        "voltage": "600 V",
        "protected_by": {"device": "circuit_breaker", "max_ampere_rating": "30 A"},
    }

    assert kiloamperes(with_device(breaker("FC1", "S", "65 kA", ampere_rating="30 A", part="X"), rating)) == 5


def test_a_fuse_by_iec_is_of_no_class_and_told_by_its_category() -> None:
    """A combination that names utilization categories alone, or a fitted fuse that has no class, is worth nothing."""
    by_category = {"device": "fuse", "utilization_categories": ["gG", "aM"], "max_ampere_rating": "63 A"}
    rating = {"current": "50 kA", "voltage": "600 V", "protected_by": by_category}
    fitted = part(
        "fuse",
        "FC1",
        "S",
        ampere_rating="60 A",
        utilization_category="gG",
        breaking_capacities=[{"voltage": "690 V", "current": "100 kA", "kind": "fuse"}],
        let_through=[{"available": "100 kA", "peak": "5 kA", "i2t": "10000 A²s", "voltage": "690 V"}],
        interrupting_ratings=interrupts("100 kA"),
    )

    assert kiloamperes(with_device(fitted, rating)) == 5
    assert kiloamperes(with_device(fitted, behind_fuse("50 kA", ["J"], "60 A"))) == 5
    (told,) = [each.message for each in rate(with_device(fitted, rating)).findings if each.code == "rating-not-claimed"]
    assert "fuse gG or aM, max 63 A" in told
    assert "FC1 (fuse, gG, 60 A) is of another class" in told


def test_a_fuse_above_the_voltage_of_every_row_is_held_to_the_highest() -> None:
    """Class T is tabled at 300 V and at 600 V (Table SB4.2): one marked for more is read at 600 V."""
    document = panel(fuse("FU1", "S", "T", "30 A", voltage_rating="700 V"))
    case = subject(load_panel(document))

    [row] = fitted_rows(case, case.one_line.components["FU1"])
    assert row.voltage == 600_000


def test_a_fuse_without_amperes_is_held_to_no_row() -> None:
    document = panel(fuse("FU1", "S", "J", "30 A"), part("fuse", "FU2", "S", fuse_class="J"))
    case = subject(load_panel(document))

    assert fitted_rows(case, case.one_line.components["FU2"]) == ()
    assert len(fitted_rows(case, case.one_line.components["FU1"])) == 1
