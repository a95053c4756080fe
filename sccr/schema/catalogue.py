"""The catalogue of parts: what a component leaves out is taken from its part."""

import re
from collections.abc import Iterator
from collections.abc import Mapping
from dataclasses import dataclass
from dataclasses import field
from decimal import Decimal
from hashlib import sha256
from itertools import chain
from itertools import islice
from typing import Any
from typing import Final

from sccr.errors import InvalidDocument
from sccr.panel.kinds import Kind
from sccr.panel.kinds import kinds
from sccr.schema import quantity
from sccr.schema.digest import canonical_part
from sccr.schema.digest import digest_of_parts
from sccr.schema.fields import Choice
from sccr.schema.fields import Flag
from sccr.schema.fields import Identifier
from sccr.schema.fields import Integer
from sccr.schema.fields import ListOf
from sccr.schema.fields import Quantity
from sccr.schema.fields import Strict
from sccr.schema.fields import Text
from sccr.schema.marking import Marking
from sccr.schema.marking import marking_faults
from sccr.schema.nearest import Names
from sccr.schema.nearest import Nearest
from sccr.schema.problems import MOST_PROBLEMS
from sccr.schema.problems import Fault
from sccr.schema.problems import Found
from sccr.schema.problems import in_document_order
from sccr.schema.problems import invalid
from sccr.schema.problems import shown
from sccr.schema.strict_json import decode
from sccr.schema.strict_schema import Object
from sccr.schema.strict_schema import StrictSchema
from sccr.schema.temperature import Temperature
from sccr.schema.uncollected import uncollected
from sccr.units import MilliAmperes

FORMAT: Final = "catalogue/1"

_PARTS: Final = 50_000
_HIGHEST_PRICE: Final = 10**12
_PRICE: Final = re.compile(r"(0|[1-9][0-9]{0,11})(\.[0-9]{1,6})?")
#: What a part has beside what is marked on it.
_SOLD: Final = ("description", "price", "stock", "time_delay", "ambient_ratings")
_AMBIENTS: Final = 30


class Price(Strict):
    """The price of one piece, without its currency: a number, or better a decimal in a string."""

    def read(self, value: Any) -> Decimal:
        """Return the price, exactly as it is written."""
        if isinstance(value, int | float) and not isinstance(value, bool) and 0 <= value <= _HIGHEST_PRICE:
            return Decimal(str(value))
        if isinstance(value, str) and _PRICE.fullmatch(value):
            return Decimal(value)
        raise invalid("not-a-price", f'{shown(value)} is no price; write a number without a currency, such as "12.50"')


class _AmbientRating(StrictSchema):
    ambient = Temperature(required=True)
    ampere_rating = Quantity(quantity.ampere_rating, required=True)

    def make(self, data: dict[str, Any]) -> Any:
        """Return the ambient [°C] and the ampere rating there [mA]."""
        return data["ambient"], data["ampere_rating"]


class _Part(Marking):
    part = Identifier(required=True)
    kind = Choice("kind", kinds(), required=True)
    description = Text()
    price = Price()
    stock = Integer(0)
    time_delay = Flag()
    ambient_ratings = ListOf(Object(_AmbientRating()), _AMBIENTS)


class _Document(StrictSchema):
    format = Choice("format", {FORMAT: FORMAT}, required=True)
    title = Text()
    note = Text()
    parts = ListOf(Object(_Part()), _PARTS, required=True)


_DOCUMENT: Final = _Document()


@dataclass(frozen=True, slots=True)
class Part:
    """A part of the catalogue. `fields` holds what is marked on it, read, by the names that a panel document uses.

    digest: SHA-256 of the canonical form (RFC 8785) of the part as it is written. time_delay: whether a fuse is one;
    ambient_ratings: ambient [°C] and ampere rating there [mA]. Devices are chosen by both, and no rating needs them.
    """

    part: str
    kind: Kind
    fields: Mapping[str, Any]
    digest: str
    description: str | None = None
    price: Decimal | None = None
    stock: int | None = None
    time_delay: bool | None = None
    ambient_ratings: tuple[tuple[Decimal, MilliAmperes], ...] = ()


@dataclass(frozen=True, slots=True)
class Catalogue:
    """Parts by their number, and the digest that says which catalogue a rating was made with."""

    parts: Mapping[str, Part]
    digest: str
    title: str | None = None
    note: str | None = None
    numbers: Names = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "numbers", Names(self.parts))

    @classmethod
    def from_document(cls, document: Mapping[str, Any] | str | bytes) -> "Catalogue":
        """Return the catalogue of a document of the format "catalogue/1".

        Parameters
        ----------
        document : mapping, or JSON text
            `parts` holds an object for each: `part`, `kind`, any of a component's markings, and if known
            `description`, `price` and `stock`.

        Raises
        ------
        InvalidDocument
            With every problem of the document, each at its JSON Pointer (RFC 6901).
        MalformedJson
            Where text is given that is not JSON.
        """
        with uncollected():
            return cls._read(decode(document) if isinstance(document, str | bytes) else document)

    @classmethod
    def _read(cls, document: Any) -> "Catalogue":
        own, wrong = _DOCUMENT.all_of(document)
        parts = [part or {} for part in own.get("parts", ())]
        if len(wrong) <= MOST_PROBLEMS:
            wrong += islice(chain(_marking_faults(document, parts), _duplicates(parts)), MOST_PROBLEMS + 1)
        if wrong:
            raise InvalidDocument(in_document_order(wrong, document))
        by_number = {
            part["part"]: _part(part, _digest(written)) for part, written in zip(parts, document["parts"], strict=True)
        }
        digest = digest_of_parts((number, part.digest) for number, part in by_number.items())
        return cls(by_number, digest, own.get("title"), own.get("note"))

    def lookup(self, part: str) -> Part | None:
        """Return the part of that number, or nothing where the catalogue has none."""
        return self.parts.get(part)

    def near_to(self, part: str, count: int = 3) -> list[str]:
        """Return up to `count` part numbers that one which is not in the catalogue may mean, the nearest first."""
        return Nearest().names(part, self.numbers, count)


def _marking_faults(document: Any, parts: list[dict[str, Any]]) -> Iterator[Found]:
    for number, part in enumerate(parts):
        for name, fault in marking_faults(part, document["parts"][number] if part else ()):
            yield Found(("parts", number, name), fault)
        kind = part.get("kind")
        if "time_delay" in part and kind is not None and kind.name != "fuse":
            told = f"is not marked on a {kind.label}; leave it out"
            yield Found(("parts", number, "time_delay"), Fault("not-applicable", told))


def _duplicates(parts: list[dict[str, Any]]) -> Iterator[Found]:
    first: dict[str, int] = {}
    for number, part in enumerate(parts):
        name = part.get("part")
        if name is not None and first.setdefault(name, number) != number:
            told = f"is the part of /parts/{first[name]} as well; keep one"
            yield Found(("parts", number, "part"), Fault("duplicate-part", told))


def _digest(written: Mapping[str, Any]) -> str:
    """Return the digest of a part at once: a document that was read may be changed afterwards."""
    return sha256(canonical_part(written).encode()).hexdigest()


def _part(own: Mapping[str, Any], digest: str) -> Part:
    marked = {**own}
    number = marked.pop("part")
    sold = {name: marked.pop(name) for name in _SOLD if name in own}
    return Part(number, own["kind"], marked, digest, **sold)
