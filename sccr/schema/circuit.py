"""The circuit that a device is chosen for: from its document, of the format "circuit/1", to the circuit.

`load` has exactly one member: `motor`, `heater`, `transformer`, `drive`, `receptacle`, `lighting` or `current`.
`voltage`, `system`, `phases`, `wires` say what feeds it, and `poles` the ungrounded conductors to protect, else those
of the load's phases. `available_fault_current`, `target`, `ambient`, `conductor_ampacity` and `inrush_peak` are what is
known; `duty` is "branch" and `continuous` true unless stated, the safe side; `wanted` holds the wishes. `edition` names
the edition by whose practice is chosen, as a panel document does, and `options` holds its options.
"""

from collections.abc import Iterator
from collections.abc import Mapping
from typing import Any
from typing import Final

from sccr.editions import editions
from sccr.errors import InvalidDocument
from sccr.panel.feeds import Feed
from sccr.panel.feeds import system_feed
from sccr.panel.kinds import kinds
from sccr.panel.panel import Options
from sccr.panel.voltage import System
from sccr.schema import quantity
from sccr.schema.agreement import phases_fault
from sccr.schema.agreement import voltage_fault
from sccr.schema.circuit_load import LoadSchema
from sccr.schema.fields import Choice
from sccr.schema.fields import Flag
from sccr.schema.fields import Identifier
from sccr.schema.fields import Integer
from sccr.schema.fields import ListOf
from sccr.schema.fields import PhaseCount
from sccr.schema.fields import Quantity
from sccr.schema.fields import Text
from sccr.schema.nearest import nearest
from sccr.schema.problems import Fault
from sccr.schema.problems import Found
from sccr.schema.problems import in_document_order
from sccr.schema.strict_json import decode
from sccr.schema.strict_schema import Object
from sccr.schema.strict_schema import StrictSchema
from sccr.schema.temperature import Temperature
from sccr.selection.circuit import Circuit
from sccr.selection.circuit import Duty
from sccr.selection.circuit import Load
from sccr.selection.circuit import Wanted
from sccr.selection.tables import tables

FORMAT: Final = "circuit/1"

_MOST: Final = 20
_MOST_WIRES: Final = 5
_PROTECTIVE: Final = {
    kind.name: kind.name for kind in kinds().values() if kind.overcurrent or kind.supplementary or kind.controller
}


class _Wanted(StrictSchema):
    kinds = ListOf(Choice("kind of device", _PROTECTIVE), _MOST, 1)
    standards = ListOf(Text(), _MOST, 1)
    mounting = Text()
    accessories = ListOf(Choice("accessory", {name: name for name in tables().accessories}), _MOST, 1)
    trip_curve = Choice("trip curve", {name: name for name in tables().curves})

    def make(self, data: dict[str, Any]) -> Wanted:
        """Return the wishes."""
        return Wanted(**data)


class _Options(StrictSchema):
    service_breaking_capacity = Flag()
    skilled_persons_only = Flag()

    def make(self, data: dict[str, Any]) -> Options:
        """Return the options; those left out stand at their defaults."""
        return Options(**data)


class _Document(StrictSchema):
    format = Choice("format", {FORMAT: FORMAT}, required=True)
    designation = Identifier()
    load = Object(LoadSchema(), required=True)  # type: ignore[assignment]  # marshmallow takes it off the class
    voltage = Quantity(quantity.system_voltage, required=True)
    system = Choice("system", {each.value: each for each in System}, required=True)
    phases = PhaseCount()
    wires = Integer(2, _MOST_WIRES)
    poles = Integer(1, 3)
    duty = Choice("duty", {each.value: each for each in Duty})
    continuous = Flag()
    ambient = Temperature()
    available_fault_current = Quantity(quantity.current)
    target = Quantity(quantity.current)
    conductor_ampacity = Quantity(quantity.ampere_rating)
    inrush_peak = Quantity(quantity.current)
    round_up = Flag()
    wanted = Object(_Wanted())
    edition = Identifier()
    options = Object(_Options())


_DOCUMENT: Final = _Document()


def load_circuit(document: Mapping[str, Any] | str | bytes) -> Circuit:
    """Return the circuit of a document of the format "circuit/1".

    Raises
    ------
    InvalidDocument
        With every problem of the document in its order, each at its JSON Pointer (RFC 6901).
    MalformedJson
        Where text is given that is not JSON.
    """
    written = decode(document) if isinstance(document, str | bytes) else document
    own, wrong = _DOCUMENT.all_of(written)
    wrong += [*_contradictions(own), *_edition_faults(own)]
    if wrong:
        raise InvalidDocument(in_document_order(wrong, written))
    members = {name: value for name, value in own.items() if name != "format"}
    return Circuit(**{"phases": _phases(own["system"]), **members})


def _phases(system: System) -> int:
    return 3 if system.three_phase else 1


def _edition_faults(own: Mapping[str, Any]) -> Iterator[Found]:
    """Yield that no such edition is known."""
    edition = own.get("edition")
    if edition is not None and edition not in editions():
        near = nearest(edition, editions())
        remedy = f"did you mean {near!r}? " if near else ""
        yield Found(("edition",), Fault("unknown-edition", f"{remedy}use one of: {', '.join(editions())}"))


def _contradictions(own: Mapping[str, Any]) -> Iterator[Found]:
    """Yield where members that are right by themselves do not agree."""
    system, voltage = own.get("system"), own.get("voltage")
    if system is None:
        return
    phases, wires = own.get("phases"), own.get("wires")
    agreed = True
    if voltage is not None and (fault := voltage_fault(voltage, system)):
        agreed = False
        yield Found(("voltage",), fault)
    if phases is not None and (fault := phases_fault(phases, system)):
        agreed = False
        yield Found(("phases",), fault)
    if voltage is not None and agreed:
        feed = system_feed("supply", voltage, system, phases or _phases(system), wires)
        yield from _pole_faults(feed, own.get("poles"), own.get("load"))


def _pole_faults(feed: Feed, poles: int | None, load: Load | None) -> Iterator[Found]:
    has = f"{feed.system} has {feed.conductors} ungrounded conductors"
    if poles is not None and poles > max(2, feed.conductors):
        yield Found(("poles",), Fault("contradiction", f"is too many: {has}; correct one of them"))
    elif poles == 1 and feed.conductors > 1 and not feed.neutral and feed.system is not System.HIGH_LEG_DELTA:
        told = f"leaves no way back: {feed.system} has no neutral here; write 2 for a line-to-line circuit"
        yield Found(("poles",), Fault("contradiction", told))
    if load is None or load.phases is None:
        return
    if load.phases == 3 and feed.conductors < 3:
        yield Found(("load", load.name, "phases"), Fault("contradiction", f"does not fit: {has}; correct one of them"))
    elif poles is not None and (load.phases == 3) != (poles == 3):
        told = f"does not fit a load of phases {load.phases}; correct one of them"
        yield Found(("poles",), Fault("contradiction", told))
