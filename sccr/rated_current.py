"""A rated current as it is marked: of UL 508A in words, of IEC 61439 by its symbols."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from sccr.units import MilliAmperes
from sccr.units import amperes
from sccr.units import current_fields
from sccr.units import current_text


@dataclass(frozen=True, slots=True)
class RatedCurrent:
    """A short-circuit current rating [mA rms symmetrical] at a maximum voltage, as it is marked.

    designation: "Icc" or "Icw" where the standard has a symbol for what is rated (IEC 61439-1, clause 3.8.10), with
    its duration [s] where it is a short-time current, and the peak withstand current [mA peak]; else empty or None.
    """

    current: MilliAmperes
    voltage: str
    designation: str = ""
    duration: Decimal | None = None
    peak: MilliAmperes | None = None

    @property
    def text(self) -> str:
        """Return the rating as it is marked on the nameplate. A direct current has no symmetrical rms value."""
        if self.designation:
            return self._text_by_symbols
        kind = "" if self.voltage.endswith(" DC") else " rms symmetrical"
        return f"{current_text(self.current)}{kind}, {self.voltage} maximum"

    def as_dict(self) -> dict[str, Any]:
        """Return the fields of the contract."""
        fields = {**current_fields(self.current), "voltage": self.voltage, "text": self.text}
        if self.designation:
            fields["designation"] = self.designation
        if self.duration is not None:
            fields["duration"] = duration_text(self.duration)
        if self.peak is not None:
            fields["peak"] = current_text(self.peak)
            fields["peak_amperes"] = amperes(self.peak)
        return fields

    @property
    def _text_by_symbols(self) -> str:
        duration = f" ({duration_text(self.duration)})" if self.duration is not None else ""
        peak = f", Ipk {current_text(self.peak)}" if self.peak is not None else ""
        return f"{self.designation} {current_text(self.current)}{duration}{peak}, {self.voltage}"


def duration_text(seconds: Decimal) -> str:
    """Return a duration as it is marked, such as '0.2 s'."""
    return f"{seconds.normalize():f} s"
