"""The panel document as schemas: its fields, and the form of each."""

from collections.abc import Mapping
from typing import Any
from typing import Final

from marshmallow import ValidationError

from sccr.fault_current.site import Site
from sccr.panel.component import Exemption
from sccr.panel.component import Position
from sccr.panel.panel import Options
from sccr.panel.voltage import System
from sccr.schema import quantity
from sccr.schema.fields import LONGEST_ID
from sccr.schema.fields import Choice
from sccr.schema.fields import Date
from sccr.schema.fields import Flag
from sccr.schema.fields import Identifier
from sccr.schema.fields import Integer
from sccr.schema.fields import ListOf
from sccr.schema.fields import OneOrMore
from sccr.schema.fields import PhaseCount
from sccr.schema.fields import Quantity
from sccr.schema.fields import Strict
from sccr.schema.fields import Text
from sccr.schema.json_values import faults
from sccr.schema.marking import Marking
from sccr.schema.problems import Found
from sccr.schema.problems import tree
from sccr.schema.ratings import DEVICES
from sccr.schema.ratings import FUSE_CLASSES
from sccr.schema.ratings import breaking_capacities
from sccr.schema.ratings import coordination
from sccr.schema.ratings import interrupting_ratings
from sccr.schema.ratings import let_through
from sccr.schema.ratings import utilization_category
from sccr.schema.site import read_source
from sccr.schema.strict_schema import Object
from sccr.schema.strict_schema import StrictSchema

FORMAT: Final = "panel/1"

_SUPPLIES: Final = 100
_COMPONENTS: Final = 20_000
_EDITIONS: Final = 5
_SOURCES: Final = 50
_SOURCE_VALUES: Final = 2_000
_WINDING_SUFFIX: Final = len("/20")
_MOST_WIRES: Final = 5


class SourceDescription(Strict):
    """What is upstream of a supply: a site document, which needs no `format` here."""

    def read(self, value: Any) -> Site:
        """Return the site."""
        wrong = list(faults(value, most=_SOURCE_VALUES))
        if not wrong:
            site, wrong = read_source(value)
            if site is not None:
                return site
        raise ValidationError(tree(wrong))


class _Identity(StrictSchema):
    designation = Text(required=True)
    title = Text()
    revision = Text()
    drawing = Text()
    order = Text()
    builder = Text()
    enclosure_type = Text()
    serial = Text()


class _Upstream(StrictSchema):
    device = Choice("device", DEVICES, required=True)
    fuse_class = Choice("fuse class", {name: name for name in FUSE_CLASSES})
    part = Identifier()
    ampere_rating = Quantity(quantity.ampere_rating)
    voltage_rating = Quantity(quantity.system_voltage)
    interrupting_ratings = interrupting_ratings()
    current_limiting = Flag()
    let_through = let_through()
    utilization_category = utilization_category()
    breaking_capacities = breaking_capacities()
    clearing_time = Quantity(quantity.duration)


class _Supply(StrictSchema):
    id = Identifier(required=True)
    voltage = Quantity(quantity.system_voltage, required=True)
    system = Choice("system", {system.value: system for system in System}, required=True)
    phases = PhaseCount()
    wires = Integer(2, _MOST_WIRES)
    frequency = Quantity(quantity.frequency)
    available_fault_current = Quantity(quantity.current)
    available_fault_current_date = Date()
    source = SourceDescription()
    full_load_current = Quantity(quantity.ampere_rating)
    upstream_protection = Object(_Upstream())


class _Exemption(StrictSchema):
    reason = Text(required=True)
    reference = Text()

    def make(self, data: dict[str, Any]) -> Exemption:
        """Return the exemption."""
        return Exemption(**data)


class _Options(StrictSchema):
    credit_feeder_components = Flag()
    transformer_impedance_credit = Flag()
    service_breaking_capacity = Flag()
    skilled_persons_only = Flag()
    coordination = coordination()

    def make(self, data: dict[str, Any]) -> Options:
        """Return the options; those left out stand at their defaults."""
        return Options(**data)


class ComponentSchema(Marking):
    """A component: what is marked on it, and its place in the panel."""

    id = Identifier(required=True)
    fed_from = OneOrMore(Identifier(LONGEST_ID + _WINDING_SUFFIX), _SOURCES, 1, required=True)
    circuit = Choice("circuit", {"power": False, "control": True})
    position = Choice("position", {position.value: position for position in Position})
    exempt = Object(_Exemption())
    location = Choice("location", {"panel": False, "field": True})


class _Document(StrictSchema):
    format = Choice("format", {FORMAT: FORMAT}, required=True)
    panel = Object(_Identity(), required=True)
    supplies = ListOf(Object(_Supply()), _SUPPLIES, 1, required=True)
    components = ListOf(Object(ComponentSchema()), _COMPONENTS, 1, required=True)
    edition = Identifier()
    editions = ListOf(Identifier(), _EDITIONS, 1)
    target = Quantity(quantity.current)
    options = Object(_Options())


_DOCUMENT: Final = _Document()


def quick_document(document: Any) -> Mapping[str, Any]:
    """Return the members of a panel document that is right, each by itself; raise one of UNCERTAIN otherwise."""
    members: Mapping[str, Any] = _DOCUMENT.quick[document]
    return members


def read_document(document: Any) -> tuple[Mapping[str, Any], list[Found]]:
    """Return the members of a panel document that can be read, and what is wrong with the others."""
    return _DOCUMENT.all_of(document)
