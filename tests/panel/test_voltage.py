"""Voltages as the trade writes them."""

from math import sqrt

import pytest

from sccr.panel.voltage import NOMINAL_WYE_PAIRS
from sccr.panel.voltage import Form
from sccr.panel.voltage import Voltage
from sccr.panel.voltage import wye_line_to_ground


def test_text() -> None:
    assert Voltage(480_000, 277_000, Form.WYE).text == "480Y/277 V"
    assert Voltage(240_000, 120_000, Form.THREE_WIRE).text == "240/120 V"
    assert Voltage(62_500).text == "62.5 V"


def test_nominal_pairs_are_pairs_of_a_wye() -> None:
    """Each nominal line-to-ground voltage is line/√3 within 2 V (arithmetic; 690/400 is the farthest)."""
    for line, ground in NOMINAL_WYE_PAIRS.items():
        assert abs(line / sqrt(3) - ground) < 2


@pytest.mark.parametrize("line", [460, 440, 433, 500, 575, 173, 1000])
def test_other_voltages_round_up_to_the_next_volt(line: int) -> None:
    ground = wye_line_to_ground(line * 1_000) / 1_000

    assert line / sqrt(3) <= ground < line / sqrt(3) + 1
