"""X/R at a device against that of its test."""

import pytest

from sccr.fault_current import multiplying_factor
from sccr.fault_current import power_factor_finding

KILOAMPERE = 1_000_000


def test_no_finding_where_the_test_was_harder() -> None:
    assert power_factor_finding(4.8, 40 * KILOAMPERE, 65 * KILOAMPERE) is None


def test_warning_where_the_rating_still_holds_and_error_where_it_does_not() -> None:
    """9 kA at X/R 10 is 13.391 kA for a device of 10 kA or 14 kA."""
    small = power_factor_finding(10, 9 * KILOAMPERE, 10 * KILOAMPERE, component="-QA1")
    large = power_factor_finding(10, 9 * KILOAMPERE, 14 * KILOAMPERE)

    assert small is not None and small.severity == "error" and small.element == "-QA1"
    assert large is not None and large.severity == "warning"
    assert "1.49" in small.message and "13.391" in small.message


@pytest.mark.parametrize(("rating", "factor"), [(10, 1.49), (10.001, 1.26), (20, 1.26), (20.001, 1.13)])
def test_bands_end_where_ul_489_ends_them(rating: float, factor: float) -> None:
    assert multiplying_factor(10, int(rating * KILOAMPERE)) == pytest.approx(factor, abs=0.006)


def test_without_resistance_the_factor_is_the_limit() -> None:
    assert multiplying_factor(None, 65 * KILOAMPERE) == pytest.approx(multiplying_factor(1e9, 65 * KILOAMPERE))


def test_unknown_device() -> None:
    with pytest.raises(ValueError, match="molded_case"):
        multiplying_factor(5, KILOAMPERE, "relay")
