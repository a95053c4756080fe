"""Temperatures, with their unit."""

import re
from decimal import Decimal
from typing import Any
from typing import Final

from sccr.schema.fields import Strict
from sccr.schema.problems import invalid
from sccr.schema.problems import shown

_TEMPERATURE: Final = re.compile(r"(-?(?:0|[1-9][0-9]{0,2})(?:\.[0-9])?) ?°(C|F)")
_COLDEST, _HOTTEST = Decimal(-50), Decimal(150)


class Temperature(Strict):
    """A temperature, or a rise in degrees Celsius."""

    def read(self, value: Any) -> Decimal:
        """Return the temperature [°C]."""
        match = _TEMPERATURE.fullmatch(value) if isinstance(value, str) else None
        if match is None:
            raise invalid(
                "not-a-quantity", f'{shown(value)} is no temperature; write it with its unit, such as "40 °C"'
            )
        degrees = Decimal(match[1])
        celsius = degrees if match[2] == "C" else ((degrees - 32) * 5 / 9).quantize(Decimal("0.1"))
        if not _COLDEST <= celsius <= _HOTTEST:
            raise invalid("out-of-range", f"{shown(value)} is not within {_COLDEST} to {_HOTTEST} °C: check the unit")
        return celsius
