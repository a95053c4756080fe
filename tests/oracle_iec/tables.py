"""The numbers of the IEC method, written down a second time (from memory of the standards, see the engine's tables)."""

from fractions import Fraction

KILOAMPERE = 1_000_000
#: Ratio of the peak to the rms current: up to and including so many milliamperes (IEC 61439-1, Table 7).
PEAK_FACTORS = (
    (5 * KILOAMPERE, Fraction(3, 2)),
    (10 * KILOAMPERE, Fraction(17, 10)),
    (20 * KILOAMPERE, Fraction(2)),
    (50 * KILOAMPERE, Fraction(21, 10)),
)
PEAK_FACTOR_ABOVE = Fraction(22, 10)
#: IEC 61439-1, 10.11.2 a, b and c: no verification needed.
UNVERIFIED = 10 * KILOAMPERE
CUT_OFF = 17 * KILOAMPERE
SMALL_TRANSFORMER_VA = 10_000
SMALL_LOW_VOLTAGE_TRANSFORMER_VA = 1_600
LOW_SECONDARY_VOLTS = 110
SMALL_TRANSFORMER_IMPEDANCE = 4
#: IEC 60909-0, Table 1 (c max at 10 % tolerance), and the tolerance of an impedance (IEC 60076-1).
VOLTAGE_FACTOR = Fraction(11, 10)
LEAST_IMPEDANCE = Fraction(9, 10)
#: A fault to earth against one of three phases, 3 / (2 + Z0/Z1), with no Z0.
EARTH_FAULT = Fraction(3, 2)

PLAIN_CONDUCTORS = {"bus_bar", "terminal_block", "power_distribution_block"}
METERS = {"current_meter", "voltmeter"}
COORDINATED = {
    "contactor",
    "motor_starter",
    "manual_motor_controller",
    "combination_motor_controller",
    "soft_starter",
    "drive",
    "overload_relay",
}


def peak_factor(current: int) -> Fraction:
    """Peak over rms of a prospective current [mA]."""
    return next((factor for most, factor in PEAK_FACTORS if current <= most), PEAK_FACTOR_ABOVE)
