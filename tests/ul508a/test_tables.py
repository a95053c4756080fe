"""The tables against the oracle's own transcription of the same sources, number by number."""

import shutil
import subprocess
import sys
from decimal import Decimal
from pathlib import Path

import sccr
from sccr.ul508a.tables import FILES
from sccr.ul508a.tables import tables
from tests.oracle import tables as transcribed

KILOAMPERE = 1_000_000


def test_every_cell_of_table_sb4_2() -> None:
    """UL 508A Supplement SB, Table SB4.2; UL 248 class limits."""
    found = {
        (name, row.voltage // 1_000, row.amperes // 1_000, column.available // KILOAMPERE): (
            Decimal(column.peak) / KILOAMPERE,
            column.i2t,
        )
        for name, rows in tables().let_through.items()
        for row in rows
        for column in row.columns
    }
    expected = {
        (name, volts, amperes, available): (Decimal(str(peak)), Decimal(str(i2t)))
        for (name, volts), rows in transcribed.LET_THROUGH.items()
        for amperes, columns in rows.items()
        for available, (peak, i2t) in columns.items()
    }

    assert found == expected
    assert len(found) == 141


def test_every_row_of_table_sb4_1() -> None:
    """UL 508A Supplement SB, Table SB4.1."""
    assumed = tables().assumed
    scope = tables().scope
    for kind, kiloamperes in transcribed.ASSUMED_KA.items():
        (row,) = assumed[scope[kind].assumed_row or ""]
        assert row.current == round(kiloamperes * KILOAMPERE), kind
    bands = [(int(r.up_to_hp or 0), int(r.below_kw or 0), r.current / KILOAMPERE) for r in assumed["motor_controller"]]
    assert bands == transcribed.MOTOR_CONTROLLER_BANDS
    mercury = [row.current / KILOAMPERE for row in reversed(assumed["mercury_switch"])]
    assert tuple(mercury) == transcribed.MERCURY_SWITCH_KA
    (miniature,) = assumed["miniature_fuse"]
    assert (miniature.current, miniature.up_to_v) == (10 * KILOAMPERE, 125)


def test_unmarked_fuses_by_class() -> None:
    for name, row in tables().fuse_classes.items():
        if row.default_interrupting is not None:
            assert row.default_interrupting == transcribed.FUSE_CLASS_KA[name] * KILOAMPERE, name


#: What a class is read as in Table SB4.2 (its rows; RK1 in those of RK5, method F6), and up to what voltage its fuses
#: are made (UL 248-4 to -15, from memory).
READ_AS = {"CC": "CC", "CF": "CF", "G": "G", "J": "J", "L": "L", "RK1": "RK5", "RK5": "RK5", "T": "T"}
MADE_UP_TO = {**dict.fromkeys(transcribed.FUSE_CLASS_KA, 600_000), "miniature": None}
#: What a fuseholder of a class takes (UL 4248-4 to -15, from memory); see REJECTING for those that take nothing else.
TAKES = {
    **{name: {name} for name in ("CC", "CF", "G", "J", "L", "T")},
    **{name: {"RK1", "RK5"} for name in ("R", "RK1", "RK5")},
    **{name: {"H", "K1", "K5", "RK1", "RK5", "renewable"} for name in ("H", "K1", "K5", "renewable")},
    "midget": {"midget", "CC"},
    "miniature": {"miniature"},
}
REJECTING = {"CC", "CF", "G", "J", "L", "T", "R", "RK1", "RK5"}


def test_what_a_fuse_class_is_read_as_and_made_for() -> None:
    classes = tables().fuse_classes

    assert set(classes) == set(transcribed.FUSE_CLASS_KA)
    assert {name: row.read_as for name, row in classes.items() if row.read_as is not None} == READ_AS
    assert {name: row.up_to for name, row in classes.items()} == MADE_UP_TO
    assert {n: (r.large_above, r.large_up_to) for n, r in classes.items() if r.large_above} == {"G": (20_000, 480_000)}
    assert {name for name, row in classes.items() if row.may_be_replaced} == set(READ_AS) - {"CF"}  # R4 lists no CF


def test_what_a_holder_takes() -> None:
    holders = tables().holders

    assert {name: set(row.accepts) for name, row in holders.items()} == TAKES
    assert {name for name, row in holders.items() if row.rejects_lower_classes} == REJECTING


def test_the_digest_covers_every_byte_of_every_table(tmp_path: Path) -> None:
    """A copy of the package with one digit changed has another digest."""
    shutil.copytree(Path(sccr.__file__).parent, tmp_path / "sccr")
    digests = [digest_in(tmp_path)]
    for name in FILES:
        table = tmp_path / f"sccr/ul508a/tables/{name}.csv"
        text = table.read_text("utf-8")
        table.write_text(text[:-2] + " " + text[-2:], "utf-8")
        digests.append(digest_in(tmp_path))

    assert digests[0] == tables().digest
    assert len(set(digests)) == len(FILES) + 1


def digest_in(folder: Path) -> str:
    program = "from sccr.ul508a.tables import tables; print(tables().digest)"
    run = subprocess.run([sys.executable, "-c", program], cwd=folder, capture_output=True, text=True, check=True)
    return run.stdout.strip()


def test_a_row_by_its_amperes_or_the_next_larger() -> None:
    """Method F6: no interpolation, none above the last row."""
    row = tables().let_through_row("J", 31_000, 600_000)

    assert row is not None and row.amperes == 60_000
    assert tables().let_through_row("J", 60_000, 600_000) == row
    assert tables().let_through_row("J", 601_000, 600_000) is None
    assert tables().let_through_row("H", 30_000, 600_000) is None


#: Of each kind: whether it needs a rating, its row of Table SB4.1, whether it is held to interrupt (method, section 2,
#: R2, R6): what the table of kinds says, once more by hand.
OWN_ROW = ("circuit_breaker", "fuseholder", "overload_relay", "supplementary_protector", "receptacle")
OWN_ROW += ("gfci_receptacle", "switch", "mercury_switch", "switch_unit", "current_shunt", "meter_socket")
OWN_ROW += ("terminal_block", "bus_bar")
STARTERS = ("contactor", "motor_starter", "manual_motor_controller", "soft_starter", "drive")
UNASSUMED = ("disconnect_switch", "fused_disconnect_switch", "current_meter", "surge_protective_device", "power_supply")
UNRATED = ("transformer", "reactor", "capacitor", "resistor", "varistor", "current_transformer", "voltmeter")
LOADS = ("motor", "heater", "lighting", "load")
INTERRUPTING = {"circuit_breaker", "fuse", "combination_motor_controller", "supplementary_protector"}


def test_what_each_kind_of_component_needs() -> None:
    expected = {
        **{kind: ("yes", kind) for kind in OWN_ROW},
        **dict.fromkeys((*STARTERS, "combination_motor_controller"), ("yes", "motor_controller")),
        "power_distribution_block": ("yes", "terminal_block"),
        **dict.fromkeys(("fuse", *UNASSUMED), ("yes", None)),
        **dict.fromkeys(UNRATED, ("no", None)),
        **dict.fromkeys(LOADS, ("load", None)),
    }

    assert {kind: (row.needs_rating, row.assumed_row) for kind, row in tables().scope.items()} == expected
    assert {kind for kind, row in tables().scope.items() if row.interrupting} == INTERRUPTING
