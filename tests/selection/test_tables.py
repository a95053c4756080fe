"""The tables: every row tells where it is from, and the numbers hang together."""

import csv
from fractions import Fraction
from itertools import pairwise

import pytest

from sccr.panel.kinds import kinds
from sccr.schema.ratings import FUSE_CLASSES
from sccr.selection.requirement import TYPES
from sccr.selection.tables import FILES
from sccr.selection.tables import next_size
from sccr.selection.tables import size_not_above
from sccr.selection.tables import tables
from tests.selection.drawing import ROOT

FOLDER = ROOT / "sccr/selection/tables"


@pytest.mark.parametrize("name", FILES)
def test_every_row_names_its_source_and_confidence(name: str) -> None:
    rows = list(csv.DictReader((FOLDER / f"{name}.csv").read_text("utf-8").splitlines()))

    assert rows
    assert all(row["source"] and row["confidence"] in {"A", "B", "C", "D"} for row in rows)
    assert all(row["confidence"] == "D" for row in rows if "common practice" in row["source"] and name == "inrush")
    assert None not in {value for row in rows for value in row.values()}


def test_every_file_is_read() -> None:
    assert {path.stem for path in FOLDER.glob("*.csv")} == set(FILES)


def test_motor_currents_rise_with_power_and_fall_with_voltage() -> None:
    for rows in (*tables().full_load.values(), *tables().locked_rotor.values()):
        assert [horsepower for horsepower, _ in rows] == sorted({horsepower for horsepower, _ in rows})
        assert [current for _, current in rows] == sorted(current for _, current in rows)
    for phases, columns in ((1, ("115", "200", "208", "230")), (3, ("115", "200", "208", "230", "400", "460", "575"))):
        for more, less in pairwise(columns):
            low, high = dict(tables().full_load[phases, more]), dict(tables().full_load[phases, less])
            assert all(low[power] > high[power] for power in low.keys() & high.keys())


@pytest.mark.parametrize("column", ["200", "208", "230", "400", "460", "575"])
def test_no_motor_current_is_far_from_what_its_power_draws(column: str) -> None:
    """A slip of a digit would show: 900 to 1350 VA a horsepower, whatever the voltage."""
    for horsepower, current in tables().full_load[3, column]:
        if horsepower >= 5:
            assert 900 < current / 1000 * int(column) * 3**0.5 / float(horsepower) < 1_350


def test_locked_rotor_currents_are_a_plausible_multiple_of_full_load() -> None:
    for key, rows in tables().locked_rotor.items():
        full_load = dict(tables().full_load[key])
        assert all(5 < current / full_load[power] < 10 for power, current in rows)


def test_motor_voltages_do_not_overlap() -> None:
    columns = tables().columns
    assert all(one.most < other.least for one, other in pairwise(columns))


def test_trip_bands_are_ordered_and_known() -> None:
    curves = tables().curves
    assert sorted(curves) == ["B", "C", "D", "K", "Z"]
    assert all(band.least < band.most for band in curves.values())
    assert [curves[name].least for name in "ZBCKD"] == [2, 3, 5, 8, 10]


def test_every_fuse_class_and_load_has_its_row() -> None:
    assert set(tables().fuse_types) == set(FUSE_CLASSES)
    assert {row.unstated for row in tables().fuse_types.values()} <= set(TYPES)
    assert set(tables().inrush) == {"motor", "heater", "transformer", "drive", "receptacle", "lighting", "current"}
    assert set(tables().branch_standards) <= set(kinds())


@pytest.mark.parametrize(
    ("wanted", "above", "below"),
    [("15", 15, 15), ("15.001", 20, 15), ("14.999", 15, None), ("800", 800, 800), ("6001", None, 6000)],
)
def test_standard_sizes(wanted: str, above: int | None, below: int | None) -> None:
    sizes, current = tables().breaker_sizes, Fraction(wanted) * 1000

    assert next_size(current, sizes) == (above and above * 1000)
    assert size_not_above(current, sizes) == (below and below * 1000)


def test_fuses_have_five_sizes_more() -> None:
    assert set(tables().fuse_sizes) - set(tables().breaker_sizes) == {1000, 3000, 6000, 10_000, 601_000}
    assert len(tables().breaker_sizes) == 37
