"""The panel: its supplies, components and what the order asks of it."""

from collections.abc import Mapping
from dataclasses import dataclass
from dataclasses import field

from sccr.fault_current.site import Site
from sccr.panel.component import Component
from sccr.panel.voltage import System
from sccr.panel.voltage import Voltage
from sccr.units import MilliAmperes


@dataclass(frozen=True, slots=True)
class Supply:
    """A supply of the panel: nominal voltage, arrangement, and what is known of the site.

    available_fault_current: as stated [mA]; source: what stands upstream, from which it is computed.
    """

    id: str
    voltage: Voltage
    system: System
    phases: int
    wires: int | None = None
    frequency: str | None = None
    available_fault_current: MilliAmperes | None = None
    available_fault_current_date: str | None = None
    full_load_current: MilliAmperes | None = None
    upstream_protection: Component | None = None
    source: Site | None = None


@dataclass(frozen=True, slots=True)
class Options:
    """The switches of the methods, at their defaults; each edition reads its own.

    UL 508A: sections 4 and 6 of the method. IEC 61439: whether the service breaking capacity (Ics) counts instead of
    the ultimate (Icu); whether only skilled persons operate the assembly, so that Icu counts where Icn is stated too;
    the least type of coordination of controllers (IEC 60947-4-1).
    """

    credit_feeder_components: bool = False
    transformer_impedance_credit: bool = True
    service_breaking_capacity: bool = False
    skilled_persons_only: bool = False
    coordination: int = 1


@dataclass(frozen=True, slots=True)
class Panel:
    """A panel document, typed and checked: what is rated.

    editions: those that it asks to be rated by in one call, where it names several.
    """

    identity: Mapping[str, str]
    supplies: tuple[Supply, ...]
    components: tuple[Component, ...]
    edition: str
    document_digest: str
    target: MilliAmperes | None = None
    options: Options = field(default_factory=Options)
    catalogue_digest: str | None = None
    editions: tuple[str, ...] = ()
