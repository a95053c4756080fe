"""Quantities: what is taken, what is refused and with which remedy, and that the factors are pint's."""

from decimal import Decimal
from math import inf
from math import nan
from random import Random
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pint import UnitRegistry

from sccr.panel.component import Power
from sccr.panel.voltage import Form
from sccr.panel.voltage import Voltage
from sccr.schema import quantity
from sccr.schema.measure import AMPERE_RATING
from sccr.schema.measure import FAULT_LEVEL
from sccr.schema.measure import MEASURES
from sccr.schema.measure import SYSTEM_VOLTAGE
from sccr.schema.measure import Measure
from sccr.schema.misread import QuantityError
from sccr.schema.registry import factors


def refusal(read: Any, value: object) -> QuantityError:
    with pytest.raises(QuantityError) as caught:
        read(value)
    return caught.value


@pytest.mark.parametrize(
    ("text", "milliamperes"),
    [
        ("65 kA", 65_000_000),
        ("65kA", 65_000_000),
        ("16000 A", 16_000_000),
        ("0.5 A", 500),
        ("5 mA", 5),
        ("21.345 kA", 21_345_000),
        ("0.125 A", 125),
        ("1000 kA", 1_000_000_000),
    ],
)
def test_a_current_is_read_exactly(text: str, milliamperes: int) -> None:
    assert quantity.current(text) == milliamperes
    assert type(quantity.current(text)) is int


@pytest.mark.parametrize(
    "value", [65, 6.5, 0, True, None, nan, inf, [], {}, "65", "65.5", " 65 ", "", Decimal(65), b"65 kA"]
)
def test_a_bare_number_is_refused_with_the_form_wanted(value: object) -> None:
    error = refusal(quantity.current, value)
    assert error.code == "not-a-quantity"
    assert 'write a current with its unit, such as "65 kA" or "30 A"' in error.detail
    assert "a bare number could be amperes or kiloamperes" in error.detail


@pytest.mark.parametrize(
    ("text", "code", "remedy"),
    [
        ("65 V", "wrong-dimension", "is a voltage, and a current is wanted"),
        ("5 kVA", "wrong-dimension", "is an apparent power, and a current is wanted"),
        ("900 A²s", "wrong-dimension", "is a clearing I²t, and a current is wanted"),
        ("65 ka", "unknown-unit", "did you mean kA?"),
        ("65 KA", "unknown-unit", "did you mean kA?"),
        ("65 a", "unknown-unit", "did you mean A?"),
        ("65 kAIC", "unknown-unit", "(kA, A, mA)"),
        ("65 amps", "unknown-unit", "(kA, A, mA)"),
        ("65 kA*kA", "unknown-unit", "(kA, A, mA)"),
        ("9**9**9 A", "unknown-unit", "(kA, A, mA)"),
        ("65,000 A", "thousands-separator", 'write "65000 A" or "65 kA"'),
        ("65 000 A", "thousands-separator", 'write "65000 A" or "65 kA"'),
        ("65\u00a0000 A", "thousands-separator", 'write "65000 A" or "65 kA"'),
        ("65_000 A", "thousands-separator", 'write "65000 A" or "65 kA"'),
        ("1,234,567 A", "thousands-separator", 'write "1234567 A"'),
        ("65,5 kA", "not-a-quantity", '"65.5 kA"'),
        ("65.000 A", "ambiguous-number", 'write "65 A" or "65000 A"'),
        ("1.125 A", "ambiguous-number", 'write "1.125 A" or "1125 A"'),
        ("inf A", "not-a-quantity", "is not a number"),
        ("NaN kA", "not-a-quantity", "is not a number"),
        ("-5 kA", "not-positive", "is negative"),
        ("−5 kA", "not-positive", "is negative"),
        ("0 A", "not-positive", "is zero"),
        ("0.00 kA", "not-positive", "is zero"),
        ("1e3 A", "not-a-quantity", "has an exponent"),
        ("1E+3 A", "not-a-quantity", "has an exponent"),
        ("1e400 A", "not-a-quantity", "has an exponent"),
        ("٦٥ kA", "not-a-quantity", "digits that are not 0 to 9"),
        ("６５ kA", "not-a-quantity", "digits that are not 0 to 9"),
        ("1234.5678901234 A", "too-precise", "more than 12 digits"),
        ("0.0001 A", "too-precise", "finer than a thousandth of 1 A"),
        ("0.5 mA", "too-precise", "finer than a thousandth of 1 A"),
        ("1001 kA", "out-of-range", "check the unit"),
        ("65000 kA", "out-of-range", "check the unit"),
        (" 65 kA", "not-a-quantity", "space"),
        ("65 kA ", "not-a-quantity", "space"),
        ("65  kA", "not-a-quantity", "space"),
        ("65\tkA", "not-a-quantity", "space"),
        ("65 kA\n", "not-a-quantity", "space"),
        ("065 kA", "not-a-quantity", "plain"),
        ("+65 kA", "not-a-quantity", "plain"),
        (".5 A", "not-a-quantity", "plain"),
        ("5. A", "not-a-quantity", "plain"),
        ("1/2 A", "not-a-quantity", "fraction"),
        ("kA", "not-a-quantity", "write a current with its unit"),
        ("65 k A", "unknown-unit", "write a current with its unit"),
        ("65 kA" + " " * 40, "not-a-quantity", "too long"),
        ("A" * 20_000, "not-a-quantity", "too long"),
    ],
)
def test_what_is_no_current_is_refused_with_its_remedy(text: str, code: str, remedy: str) -> None:
    error = refusal(quantity.current, text)
    assert (error.code, remedy in error.detail) == (code, True), error.detail


@pytest.mark.parametrize("text", ["1 000 \u202eA", "1,5 \u202eA", "1 000 k\u200bA", "4 706]%\x1b[2JV"])
def test_what_is_written_instead_is_safe_to_print(text: str) -> None:
    """A unit of the caller's, turned round or with a command to a terminal, came back as it was."""
    assert refusal(quantity.current, text).detail.isprintable()


@pytest.mark.parametrize("text", ["1" + " 000" * 10_000 + " A", "1 000 A" + "x" * 40_000, "1,5 " + "x" * 40_000])
def test_what_is_written_instead_is_short(text: str) -> None:
    assert len(refusal(quantity.current, text).detail) < 400


def test_digits_without_end_cost_no_time() -> None:
    assert refusal(quantity.current, "9" * 1_000_000).code == "not-a-quantity"
    assert refusal(quantity.current, "9" * 1_000_000 + " A").code == "not-a-quantity"


@pytest.mark.parametrize("text", ["1.125 A", "65.000 A", "0.250 A"])
def test_three_decimals_are_nothing_unusual_in_an_ampere_rating(text: str) -> None:
    assert quantity.ampere_rating(text) == Decimal(text.removesuffix(" A")) * 1000


@pytest.mark.parametrize("text", ["65.000 kA", "5.125 kA"])
def test_a_point_in_kiloamperes_is_no_separator_of_thousands(text: str) -> None:
    assert quantity.current(text) == Decimal(text.removesuffix(" kA")) * 1_000_000


@pytest.mark.parametrize(
    ("text", "voltage"),
    [
        ("480 V", Voltage(480_000)),
        ("0.48 kV", Voltage(480_000)),
        ("480Y/277 V", Voltage(480_000, 277_000, Form.WYE)),
        ("480Y/277V", Voltage(480_000, 277_000, Form.WYE)),
        ("208Y/120 V", Voltage(208_000, 120_000, Form.WYE)),
        ("600Y/347 V", Voltage(600_000, 347_000, Form.WYE)),
        ("480/277 V", Voltage(480_000, 277_000, Form.WYE)),
        ("277/480 V", Voltage(480_000, 277_000, Form.WYE)),
        ("400/230 V", Voltage(400_000, 230_000, Form.WYE)),
        ("230/400 V", Voltage(400_000, 230_000, Form.WYE)),
        ("347/600 V", Voltage(600_000, 347_000, Form.WYE)),
        ("120/208 V", Voltage(208_000, 120_000, Form.WYE)),
        ("400/690 V", Voltage(690_000, 400_000, Form.WYE)),
        ("220/380 V", Voltage(380_000, 220_000, Form.WYE)),
        ("0.23/0.4 kV", Voltage(400_000, 230_000, Form.WYE)),
        ("690Y/400 V", Voltage(690_000, 400_000, Form.WYE)),
        ("4.16Y/2.4 kV", Voltage(4_160_000, 2_400_000, Form.WYE)),
        ("240/120 V", Voltage(240_000, 120_000, Form.THREE_WIRE)),
        ("120/240 V", Voltage(240_000, 120_000, Form.THREE_WIRE)),
    ],
)
def test_a_system_voltage_is_read_the_way_the_trade_writes_it(text: str, voltage: Voltage) -> None:
    assert quantity.system_voltage(text) == voltage


@pytest.mark.parametrize(
    ("text", "remedy"),
    [
        ("480Y/120 V", "differ by √3"),
        ("240Y/120 V", "differ by √3"),
        ("277Y/480 V", "differ by √3"),
        ("480/120 V", "differ by √3"),
        ("480/480 V", "differ by √3"),
        ("230/440 V", "differ by √3"),
        ("230/360 V", "differ by √3"),
        ("230Y/400 V", "differ by √3"),
        ("120/277 V", "differ by √3"),
        ("480y/277 V", "a capital Y"),
        ("480 Y/277 V", "no spaces inside"),
        ("480Y / 277 V", "no spaces inside"),
        ("480Y/277", "write a voltage with its unit"),
        ("480Y/277 A", "write a voltage with its unit"),
        ("480Y/277/120 V", "write a voltage with its unit"),
        ("480Y/0 V", "is zero"),
        ("480 VAC", "(V, kV)"),
        ("4.160 V", 'write "4.16 V" or "4160 V"'),
        ("2000 kV", "check the unit"),
    ],
)
def test_what_is_no_system_voltage_is_refused_with_its_remedy(text: str, remedy: str) -> None:
    assert remedy in refusal(quantity.system_voltage, text).detail


def test_a_bare_voltage_is_refused_without_talk_of_kiloamperes() -> None:
    detail = refusal(quantity.system_voltage, 480).detail
    assert '"480Y/277 V"' in detail
    assert "kiloamperes" not in detail


def test_a_slash_voltage_is_no_single_voltage() -> None:
    assert quantity.voltage("480 V") == 480_000
    assert refusal(quantity.voltage, "480Y/277 V").code == "not-a-quantity"


def test_a_power_keeps_the_unit_in_which_it_is_marked() -> None:
    assert quantity.power("5 hp") == Power(horsepower=Decimal(5))
    assert quantity.power("7.5hp") == Power(horsepower=Decimal("7.5"))
    assert quantity.power("3.7 kW") == Power(watts=Decimal(3700))
    assert "fraction" in refusal(quantity.power, "7-1/2 hp").detail
    assert "did you mean hp?" in refusal(quantity.power, "5 HP").detail
    assert refusal(quantity.power, "5 kVA").code == "wrong-dimension"
    assert refusal(quantity.power, "1.500 hp").code == "ambiguous-number"


def test_the_other_quantities_are_read_exactly() -> None:
    assert quantity.volt_amperes("5 kVA") == Decimal(5000)
    assert quantity.volt_amperes("1.5 MVA") == Decimal(1_500_000)
    assert quantity.percent("2.1 %") == quantity.percent("2.1%") == Decimal("2.1")
    assert quantity.i2t("30000 A²s") == quantity.i2t("30000 A2s") == quantity.i2t("30000 A²·s") == Decimal(30_000)
    assert quantity.i2t("0.03 kA²s") == quantity.i2t("0.03 kA2s") == quantity.i2t("0.03 kA²·s") == Decimal(30)
    assert quantity.frequency("60 Hz") == quantity.frequency("60.0 Hz") == "60 Hz"
    assert quantity.length("12 ft") == Decimal("3.6576")
    assert quantity.length("1 in") == quantity.length("25.4 mm") == quantity.length("2.54 cm") == Decimal("0.0254")


def test_a_duration_is_read_exactly() -> None:
    assert quantity.duration("20 ms") == quantity.duration("20ms") == quantity.duration("0.02 s") == Decimal("0.02")
    assert quantity.duration("1 s") == quantity.duration("1000 ms") == quantity.duration("1.000 s") == Decimal(1)
    assert str(quantity.duration("5000 ms")) == "5"
    assert str(quantity.duration("0.5000 ms")) == "0.0005"


@pytest.mark.parametrize(
    ("text", "code", "remedy"),
    [
        (0.02, "not-a-quantity", 'write a duration with its unit, such as "20 ms" or "1 s"'),
        ("20", "not-a-quantity", "write a duration with its unit"),
        ("0 s", "not-positive", "a duration above zero"),
        ("-1 s", "not-positive", "is negative"),
        ("5.001 s", "out-of-range", "check the unit"),
        ("20000 ms", "out-of-range", "check the unit"),
        ("1.000 ms", "ambiguous-number", 'write "1 ms" or "1000 ms"'),
        ("20 Ms", "unknown-unit", "did you mean ms?"),
        ("1 min", "unknown-unit", "(s, ms)"),
        ("1 kA", "wrong-dimension", "is a current, and a duration is wanted"),
        ("1/2 s", "not-a-quantity", "write a duration"),
        ("0,02 s", "not-a-quantity", '"0.02 s"'),
    ],
)
def test_what_is_no_duration_is_refused_with_its_remedy(text: object, code: str, remedy: str) -> None:
    error = refusal(quantity.duration, text)
    assert (error.code, remedy in error.detail) == (code, True), error.detail


def test_a_duration_is_no_current() -> None:
    assert "is a duration, and a current is wanted" in refusal(quantity.current, "20 ms").detail


def test_a_percentage_above_a_hundred_is_refused() -> None:
    assert refusal(quantity.percent, "101 %").code == "out-of-range"


def test_a_utility_delivers_more_than_a_transformer_is_rated_for() -> None:
    assert quantity.fault_level("500 MVA") == quantity.fault_level("500000 kVA") == Decimal(500_000_000)
    assert quantity.fault_level("100000 MVA") == Decimal(10**11)
    assert refusal(quantity.fault_level, "100000.1 MVA").code == "out-of-range"
    assert refusal(quantity.volt_amperes, "1000.1 MVA").code == "out-of-range"
    assert refusal(quantity.fault_level, "500 kA").code == "wrong-dimension"


def test_results_are_printed_without_an_exponent() -> None:
    assert str(quantity.volt_amperes("500 kVA")) == "500000"
    assert str(quantity.power("75.0 kW").watts) == "75000"


REGISTRY: UnitRegistry[Decimal] = UnitRegistry(non_int_type=Decimal)
NUMBERS = st.decimals(min_value="0.001", max_value="999", places=3).map(lambda number: f"{number.normalize():f}")


@given(number=NUMBERS, unit=st.sampled_from(["kA", "A"]))
def test_currents_agree_with_pint(number: str, unit: str) -> None:
    assert quantity.ampere_rating(f"{number} {unit}") == REGISTRY.Quantity(Decimal(number), unit).to("mA").magnitude


@given(number=NUMBERS)
def test_voltages_agree_with_pint(number: str) -> None:
    assert quantity.system_voltage(f"{number} kV").line == REGISTRY.Quantity(Decimal(number), "kV").to("mV").magnitude


@pytest.mark.parametrize(
    ("read", "spelling", "expression", "base"),
    [
        (quantity.volt_amperes, "kVA", "kVA", "VA"),
        (quantity.volt_amperes, "MVA", "MVA", "VA"),
        (quantity.i2t, "kA²s", "kA * A * s", "A**2 * s"),
        (quantity.i2t, "kA2s", "kA * A * s", "A**2 * s"),
        (quantity.i2t, "kA²·s", "kA * A * s", "A**2 * s"),
        (quantity.length, "ft", "foot", "m"),
        (quantity.length, "in", "inch", "m"),
        (quantity.length, "mm", "mm", "m"),
        (quantity.length, "cm", "cm", "m"),
        (lambda text: quantity.power(text).watts, "kW", "kW", "W"),
    ],
)
@given(number=NUMBERS)
def test_the_other_quantities_agree_with_pint(
    read: Any, spelling: str, expression: str, base: str, number: str
) -> None:
    expected = REGISTRY.Quantity(Decimal(number), REGISTRY.parse_units(expression)).to(base).magnitude
    assert abs(read(f"{number} {spelling}") - expected) <= abs(expected) * Decimal("1e-20")


@given(number=st.decimals(min_value="0.0001", max_value="4.9999", places=4).map(lambda each: f"{each.normalize():f}"))
def test_durations_agree_with_pint(number: str) -> None:
    assert quantity.duration(f"{number} s") == REGISTRY.Quantity(Decimal(number), "s").to("s").magnitude
    milli = f"{(Decimal(number) * 1000).normalize():f}"
    assert quantity.duration(f"{milli} ms") == REGISTRY.Quantity(Decimal(milli), "ms").to("s").magnitude


@given(text=st.text(max_size=12) | st.from_regex(r"[0-9.,eE+\-]{1,6} ?[kmM]?[AVWYh/²sm]{1,3}", fullmatch=True))
def test_whatever_is_written_is_read_or_refused(text: str) -> None:
    for read in (
        quantity.current,
        quantity.system_voltage,
        quantity.power,
        quantity.percent,
        quantity.i2t,
        quantity.duration,
    ):
        try:
            read(text)
        except QuantityError as error:
            assert error.code and error.detail


EVERY_MEASURE = (*MEASURES, AMPERE_RATING, FAULT_LEVEL, SYSTEM_VOLTAGE)


@pytest.mark.parametrize("measure", EVERY_MEASURE, ids=lambda measure: measure.name)
def test_the_factors_that_are_data_are_those_of_pint(measure: Measure) -> None:
    by_pint = factors(measure.base, *measure.units)

    assert {**by_pint} == {**measure.units}
    assert [str(each) for each in by_pint.values()] == [str(each) for each in measure.units.values()]


DIGITS = (
    "0",
    "1",
    "2",
    "3.7",
    "5",
    "7.5",
    "10",
    "22",
    "65",
    "480",
    "1.125",
    "65.000",
    "0.5",
    "0.0001",
    "1200",
    "100000",
)
ODD_NUMBERS = (
    "",
    "00",
    "01",
    "1.",
    ".5",
    "-5",
    "+5",
    "1e3",
    "1,000",
    "1 000",
    "½",
    "٣",
    "５",
    "9" * 13,
    "9" * 41,
    "nan",
    "1/2",
)
ODD_UNITS = (
    "",
    "amps",
    "ka",
    "KA",
    "kА",
    "k A",
    "kAA",
    "A A",
    "Ω",
    "kA*kA",
    "kilo ampere",
    "ampere",
    "m A",
    "°C",
    "A ",
    "\u212b",
)
SEPARATORS = (" ", " ", " ", "", "  ", "\t", "\u00a0", "\n")


def written(random: Random) -> str:
    """A quantity as somebody may write it, right or not."""
    number = random.choice(DIGITS) if random.random() < 0.3 else str(random.randrange(10 ** random.randrange(1, 8)))
    if random.random() < 0.3:
        number += f".{random.randrange(10 ** random.randrange(1, 6))}"
    if random.random() < 0.1:
        number = random.choice(ODD_NUMBERS)
    unit = random.choice([*random.choice(EVERY_MEASURE).units])
    if random.random() < 0.1:
        unit = random.choice(ODD_UNITS)
    text = number + (random.choice(SEPARATORS) if random.random() < 0.3 else " ") + unit
    return text + random.choice((" ", "\n", "x", "A")) if random.random() < 0.05 else text


def test_ten_thousand_strings_are_read_or_refused_as_by_pint() -> None:
    random, known = Random(508), 0
    for _ in range(10_000):
        text = written(random)
        matching = [each for each in EVERY_MEASURE if any(text.endswith(unit) for unit in each.units)]
        measure = random.choice(matching) if matching and random.random() < 0.8 else random.choice(EVERY_MEASURE)
        amount = quantity.known_amount(text, measure)
        try:
            by_pint = quantity.amount_by_pint(text, measure)
        except QuantityError:
            assert amount is None, (text, measure.name)
        else:
            assert str(amount) == str(by_pint), (text, measure.name)
            _held_against_pint_itself(text, measure, by_pint)
            known += 1

    assert 3_000 < known < 7_000  # both sides are tried


def _held_against_pint_itself(text: str, measure: Measure, amount: Decimal) -> None:
    """Ask a registry of pint's own definitions, of units that it has under the same names and means alike."""
    unit = text.lstrip("0123456789. ")
    if unit in ("hp", "%", "ft", "in") or "s" in unit:
        return
    assert REGISTRY.Quantity(Decimal(text.removesuffix(unit)), unit).to(measure.base).magnitude == amount, text
