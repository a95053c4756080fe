"""The catalogue of parts: what a component leaves out is taken from its part."""

import re
from collections.abc import Iterator
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any
from typing import Final

from sccr.errors import InvalidDocument
from sccr.panel.kinds import Kind
from sccr.panel.kinds import kinds
from sccr.schema.digest import digest_of
from sccr.schema.digest import digest_of_parts
from sccr.schema.fields import Choice
from sccr.schema.fields import Identifier
from sccr.schema.fields import Integer
from sccr.schema.fields import ListOf
from sccr.schema.fields import Strict
from sccr.schema.fields import Text
from sccr.schema.marking import Marking
from sccr.schema.marking import marking_faults
from sccr.schema.problems import Fault
from sccr.schema.problems import Found
from sccr.schema.problems import in_document_order
from sccr.schema.problems import invalid
from sccr.schema.problems import shown
from sccr.schema.strict_json import decode
from sccr.schema.strict_schema import Object
from sccr.schema.strict_schema import StrictSchema

FORMAT: Final = "catalogue/1"

_PARTS: Final = 50_000
_HIGHEST_PRICE: Final = 10**12
_PRICE: Final = re.compile(r"(0|[1-9][0-9]{0,11})(\.[0-9]{1,6})?")
_ONLY_OF_PARTS: Final = ("part", "description", "price", "stock")


class Price(Strict):
    """A price, without its currency: a number, or better a decimal in a string."""

    def read(self, value: Any) -> Decimal:
        """Return the price, exactly as it is written."""
        if isinstance(value, int | float) and not isinstance(value, bool) and 0 <= value <= _HIGHEST_PRICE:
            return Decimal(str(value))
        if isinstance(value, str) and _PRICE.fullmatch(value):
            return Decimal(value)
        raise invalid("not-a-price", f'{shown(value)} is no price; write a number without a currency, such as "12.50"')


class _Part(Marking):
    part = Identifier(required=True)
    kind = Choice("kind", kinds(), required=True)
    description = Text()
    price = Price()
    stock = Integer(0)


class _Document(StrictSchema):
    format = Choice("format", {FORMAT: FORMAT}, required=True)
    title = Text()
    note = Text()
    parts = ListOf(Object(_Part()), _PARTS, required=True)


_DOCUMENT: Final = _Document()


@dataclass(frozen=True, slots=True)
class Part:
    """A part of the catalogue. `fields` holds what is marked on it, read, by the names that a panel document uses.

    digest: SHA-256 of the canonical form (RFC 8785) of the part as it is written.
    """

    part: str
    kind: Kind
    fields: Mapping[str, Any]
    digest: str
    description: str | None = None
    price: Decimal | None = None
    stock: int | None = None


@dataclass(frozen=True, slots=True)
class Catalogue:
    """Parts by their number, and the digest that says which catalogue a rating was made with."""

    parts: Mapping[str, Part]
    digest: str
    title: str | None = None
    note: str | None = None

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
        document = decode(document) if isinstance(document, str | bytes) else document
        own, wrong = _DOCUMENT.all_of(document)
        parts = [part or {} for part in own.get("parts", ())]
        wrong += [*_marking_faults(document, parts), *_duplicates(parts)]
        if wrong:
            raise InvalidDocument(in_document_order(wrong, document))
        by_number = {
            part["part"]: _part(part, digest_of(written))
            for part, written in zip(parts, document["parts"], strict=True)
        }
        digest = digest_of_parts((number, part.digest) for number, part in by_number.items())
        return cls(by_number, digest, own.get("title"), own.get("note"))

    def lookup(self, part: str) -> Part | None:
        """Return the part of that number, or nothing where the catalogue has none."""
        return self.parts.get(part)


def _marking_faults(document: Any, parts: list[dict[str, Any]]) -> Iterator[Found]:
    for number, part in enumerate(parts):
        for name, fault in marking_faults(part, document["parts"][number] if part else ()):
            yield Found(("parts", number, name), fault)


def _duplicates(parts: list[dict[str, Any]]) -> Iterator[Found]:
    first: dict[str, int] = {}
    for number, part in enumerate(parts):
        name = part.get("part")
        if name is not None and first.setdefault(name, number) != number:
            told = f"is the part of /parts/{first[name]} as well; keep one"
            yield Found(("parts", number, "part"), Fault("duplicate-part", told))


def _part(own: Mapping[str, Any], digest: str) -> Part:
    marked = {name: value for name, value in own.items() if name not in _ONLY_OF_PARTS}
    sold = {name: own[name] for name in ("description", "price", "stock") if name in own}
    return Part(own["part"], own["kind"], marked, digest, **sold)
