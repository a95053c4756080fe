"""The site document.

```json
{"format": "site/1",
 "method": "ohmic",
 "utility": {"available": "500 MVA", "voltage": "13.8 kV", "x_over_r": 10, "minimum_available": "300 MVA"},
 "elements": [
   {"transformer": {"kva": "1000 kVA", "primary": "13.8 kV", "secondary": "480Y/277 V", "impedance": "5.75 %",
                    "impedance_tolerance": "10 %", "x_over_r": 6}, "bus": "switchboard"},
   {"motors": {"full_load_current": "300 A"}},
   {"conductor": {"size": "500 kcmil", "material": "copper", "conduit": "steel", "sets": 2, "length": "164 ft"}}],
 "alternates": [{"name": "generator", "utility": {...}, "elements": [...]}]}
```

The chain goes from the utility to the supply terminals. The same object without `format` is a supply's `source`.
"""

from collections.abc import Iterator
from collections.abc import Mapping
from collections.abc import Sequence
from dataclasses import replace
from typing import Any
from typing import Final

from marshmallow import ValidationError

from sccr.errors import InvalidDocument
from sccr.fault_current.site import Element
from sccr.fault_current.site import Method
from sccr.fault_current.site import Motors
from sccr.fault_current.site import Site
from sccr.fault_current.site import State
from sccr.fault_current.site import Transformer
from sccr.fault_current.site import Utility
from sccr.fault_current.site import connection
from sccr.fault_current.site import volts
from sccr.schema import quantity
from sccr.schema.digest import digest_of
from sccr.schema.fields import Choice
from sccr.schema.fields import ListOf
from sccr.schema.fields import Text
from sccr.schema.problems import Fault
from sccr.schema.problems import Found
from sccr.schema.problems import Path
from sccr.schema.problems import found
from sccr.schema.problems import in_document_order
from sccr.schema.problems import tree
from sccr.schema.site import values
from sccr.schema.site.elements import ElementSchema
from sccr.schema.site.elements import UtilitySchema
from sccr.schema.strict_json import decode
from sccr.schema.strict_schema import Object
from sccr.schema.strict_schema import StrictSchema

FORMAT: Final = "site/1"
MAIN: Final = "as described"

_ELEMENTS: Final = 100
_STATES: Final = 20


_UTILITY: Final = UtilitySchema()
_ELEMENT: Final = ElementSchema()


class _Chain(StrictSchema):
    """A utility and the elements behind it."""

    name = Text()
    utility = Object(_UTILITY, required=True)
    elements = ListOf(Object(_ELEMENT), _ELEMENTS)

    def read(self, value: Any) -> Any:
        """Return what the object stands for; also told is what does not fit together among what can be read."""
        try:
            return super().read(value)
        except ValidationError as error:
            told = {each.path: each for each in (*found(error.messages), *chain_faults(*_readable(value)))}
            raise ValidationError(tree(told.values())) from None

    def make(self, data: dict[str, Any]) -> Any:
        """Return the state."""
        _refuse(chain_faults(data["utility"], data.get("elements", ())))
        return State(data.get("name", ""), data["utility"], data.get("elements", ()))


def _readable(value: Any) -> tuple[Utility | None, list[Element]]:
    """Return the utility of a chain that is wrong somewhere, and its elements up to the first that is."""
    utility: Utility | None = None
    elements: list[Element] = []
    try:
        utility = _UTILITY.read(value["utility"])
        for each in value["elements"]:
            elements.append(_ELEMENT.read(each))
    except (ValidationError, TypeError, LookupError):
        pass  # told already
    return utility, elements


def _refuse(faults: Iterator[Found]) -> None:
    wrong = list(faults)
    if wrong:
        raise ValidationError(tree(wrong))


class SiteSchema(_Chain):
    """A whole site document, or the source of a supply."""

    format = Choice("format", {FORMAT: FORMAT})
    title = Text()
    method = Choice("method", {method.value: method for method in Method})
    frequency = values.of(quantity.frequency)
    voltage_tolerance = Choice("voltage tolerance", {"6 %": 6, "10 %": 10})
    alternates = ListOf(Object(_Chain()), _STATES)

    def make(self, data: dict[str, Any]) -> Site:
        """Return the site; alternates without a name are numbered."""
        main = super().make({name: data[name] for name in ("name", "utility", "elements") if name in data})
        main = replace(main, name=main.name or MAIN)
        others = [
            replace(state, name=state.name or f"alternate {number}")
            for number, state in enumerate(data.get("alternates", ()), start=1)
        ]
        frequency, tolerance = data.get("frequency", "60 Hz"), data.get("voltage_tolerance")
        method = data.get("method", Method.OHMIC)
        _refuse(_site_faults(frequency, tolerance, method, [main.name, *(state.name for state in others)]))
        return Site(
            states=(main, *others),
            method=method,
            frequency=float(frequency.removesuffix(" Hz")),
            voltage_tolerance=tolerance,
            title=data.get("title"),
        )


_FREQUENCIES: Final = ("50 Hz", "60 Hz")


def _site_faults(frequency: str, tolerance: int | None, method: Method, names: Sequence[str]) -> Iterator[Found]:
    if frequency not in _FREQUENCIES:
        yield Found(("frequency",), Fault("out-of-range", f"{frequency} is neither 50 Hz nor 60 Hz"))
    if tolerance is not None and method is not Method.IEC_60909:
        told = "belongs to the method iec_60909: there is no voltage factor in the ohmic one"
        yield Found(("voltage_tolerance",), Fault("not-applicable", told))
    for number, name in enumerate(names):
        if number and name in names[:number]:
            yield Found(("alternates", number - 1, "name"), Fault("duplicate-name", f"there is a {name!r} already"))


def chain_faults(utility: Utility | None, elements: Sequence[Element]) -> Iterator[Found]:
    """Yield what does not fit together in a chain."""
    if utility is None:
        return
    line, phases = volts(utility.voltage), utility.phases
    transformer = False
    for number, element in enumerate(elements):
        for path, fault in _element_faults(element, line, phases, transformer):
            yield Found(("elements", number, *path), fault)
        if isinstance(element, Transformer):
            transformer = True
            line, phases = element.nominal_voltage or volts(element.secondary), element.phases


def _element_faults(
    element: Element, line: float, phases: int, transformer: bool
) -> Iterator[tuple[tuple[str, str], Fault]]:
    if isinstance(element, Motors) and element.share_of_transformer is not None and not transformer:
        told = "has no transformer ahead of it, of which it could be a share"
        yield ("motors", "share_of_transformer"), Fault("contradiction", told)
    if not isinstance(element, Transformer):
        return
    if element.phases > phases:
        told = "three phases cannot be had from the single-phase system ahead"
        yield ("transformer", "phases"), Fault("contradiction", told)
    elif connection(volts(element.primary), line, phases, element.phases) is None:
        told = f"fits neither the {line:g} V ahead of it nor what that has to neutral"
        yield ("transformer", "primary"), Fault("contradiction", told)


_SITE: Final = SiteSchema()


def read_source(source: Any, path: Path = ()) -> tuple[Site | None, list[Found]]:
    """Return the site that the `source` of a supply describes, or all that is wrong with it, each below `path`."""
    try:
        site: Site = _SITE.read(source)
    except ValidationError as error:
        return None, [Found((*path, *each.path), each.fault) for each in found(error.messages)]
    return replace(site, document_digest=digest_of(source)), []


def load_site(document: Mapping[str, Any] | str | bytes) -> Site:
    """Return the site of a document.

    Parameters
    ----------
    document : mapping, or JSON text
        A site document (`format` "site/1", which may be left out); quantities are strings with their unit.

    Raises
    ------
    InvalidDocument
        With every problem of the document in the order of the document, each at its JSON Pointer (RFC 6901).
    MalformedJson
        Where text is given that is not JSON.
    """
    written = decode(document) if isinstance(document, str | bytes) else document
    site, wrong = read_source(written)
    if site is None:
        raise InvalidDocument(in_document_order(wrong, written))
    return site
