"""The fault current available at a supply of a panel: stated, computed from its source, or the higher of both."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from sccr.adequacy import AvailableBasis
from sccr.adequacy import AvailableFaultCurrent
from sccr.fault_current.calculation import fault_current
from sccr.fault_current.power_factor import MOLDED_CASE
from sccr.fault_current.power_factor import multiplying_factor
from sccr.fault_current.power_factor import power_factor_finding
from sccr.fault_current.record import record
from sccr.fault_current.result import FaultCurrent
from sccr.fault_current.result import Finding
from sccr.panel.panel import Supply
from sccr.units import MilliAmperes

#: A panel is rated again and again while a plan for it is sought; what stands upstream does not change.
_calculated = lru_cache(maxsize=256)(fault_current)


@dataclass(frozen=True, slots=True)
class AtSupply:
    """What is known of the fault current at a supply; `calculation` is None where it has no source."""

    supply: Supply
    calculation: FaultCurrent | None

    @property
    def stated(self) -> MilliAmperes | None:
        """Return the current that the document states [mA]."""
        return self.supply.available_fault_current

    @property
    def computed(self) -> MilliAmperes | None:
        """Return the current that is computed [mA]; None without a source, or where it cannot be established."""
        return None if self.calculation is None else self.calculation.available

    @property
    def current(self) -> MilliAmperes | None:
        """Return the current that counts [mA]: the higher of the two; None where neither is known."""
        return max((each for each in (self.stated, self.computed) if each is not None), default=None)

    @property
    def basis(self) -> AvailableBasis:
        """Return where that comes from; of two equal ones it is said to be computed."""
        computed, stated = self.computed, self.stated
        counts = computed is not None and (stated is None or computed >= stated)
        return AvailableBasis.COMPUTED if counts else AvailableBasis.GIVEN

    def as_result(self) -> AvailableFaultCurrent | None:
        """Return the same for a rating; None where no current is known."""
        if self.current is None:
            return None
        found, highest = self.calculation, None
        if found is not None and found.available is not None:
            highest = found.terminals.highest
        return AvailableFaultCurrent(
            current=self.current,
            basis=self.basis,
            date=self.supply.available_fault_current_date,
            stated=self.stated,
            computed=self.computed,
            method=None if found is None or highest is None else found.method,
            fault=None if highest is None else highest.kind.value,
            x_over_r=None if highest is None else highest.x_over_r,
            record=None if found is None or highest is None else record(found, self._date_of_calculation),
        )

    @property
    def _date_of_calculation(self) -> str | None:
        """Return the date that the document states: beside a current that it states as well, it may be that one's."""
        return self.supply.available_fault_current_date if self.stated is None else None

    def power_factor_finding(
        self, interrupting_rating: MilliAmperes, device: str = MOLDED_CASE, component: str | None = None
    ) -> Finding | None:
        """Return the finding of a device whose test had a lower X/R than there is here, at the fault that is hardest.

        That is the one with the highest product of current and factor, of all kinds of fault and all states upstream.
        None where no fault is harder than the test, or X/R is not known.
        """

        def product(duty: tuple[MilliAmperes, float | None]) -> float:
            return duty[0] * multiplying_factor(duty[1], interrupting_rating, device)

        hardest = max(self._duties(), key=product, default=None)
        if hardest is None:
            return None
        current, x_over_r = hardest
        return power_factor_finding(x_over_r, current, interrupting_rating, device=device, component=component)

    def _duties(self) -> Iterator[tuple[MilliAmperes, float | None]]:
        """Yield each current [mA] with its X/R; a stated current that is higher goes with X/R of the highest fault."""
        if self.calculation is None or self.computed is None:
            return
        for state in self.calculation.states:
            yield from ((value.symmetrical, value.x_over_r) for value in state.terminals.maximum)
        highest = self.calculation.terminals.highest
        if self.stated is not None and highest is not None:
            yield self.stated, highest.x_over_r


def at_supply(supply: Supply) -> AtSupply:
    """Return what is known of the fault current at a supply of a panel."""
    return AtSupply(supply, None if supply.source is None else _calculated(supply.source))
