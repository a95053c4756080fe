"""From what marshmallow says to problems: each with its JSON Pointer and code, in the order of the document."""

from collections.abc import Collection
from collections.abc import Iterable
from collections.abc import Iterator
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from typing import Final

from marshmallow import ValidationError
from marshmallow.exceptions import SCHEMA

from sccr.errors import Problem
from sccr.schema.nearest import Nearest

Path = tuple[str | int, ...]

#: The key of what is wrong with an object as a whole, among what is wrong with its members; no caller can write it.
WHOLE: Final = object()

#: How many problems of one document are told. Of so many nobody reads the rest, and a body of 2 MiB can have a million,
#: which took twenty seconds to tell.
MOST_PROBLEMS: Final = 10_000
#: The code of the last one told, where there are more.
TOO_MANY: Final = "too-many-problems"

_LONGEST_NAME: Final = 200
_SHOWN: Final = 60
_LARGE: Final = 10**18
_NAMES_OF_TYPES: Final[dict[type, str]] = {dict: "an object", list: "a list"}


class Fault(str):
    """What is wrong, as text, with its code; and, for a misspelt word, the names that were possible."""

    code: str
    word: str | None
    known: Collection[str]
    offered: int

    def __new__(
        cls, code: str, detail: str, word: str | None = None, known: Collection[str] = (), offered: int = 1
    ) -> "Fault":
        """Return the fault; up to `offered` names of those known are suggested for the word."""
        fault = super().__new__(cls, detail)
        fault.code, fault.word, fault.known, fault.offered = code, word, known, offered
        return fault


@dataclass(frozen=True, slots=True)
class Found:
    """A fault and where it was found."""

    path: Path
    fault: Fault


def invalid(code: str, detail: str, word: str | None = None, known: Collection[str] = ()) -> ValidationError:
    """Return the error of one value, for a field to raise."""
    return ValidationError([Fault(code, detail, word, known)])


def shown(value: object) -> str:
    """Return a value of the caller as it is safe to repeat: short, quoted, without anything that does not print."""
    if not isinstance(value, str):
        return _shown_in_words(value)
    short = value if len(value) <= _SHOWN else value[:_SHOWN] + "…"
    return '"' + "".join(c if c.isprintable() and c != '"' else ascii(c)[1:-1] for c in short) + '"'


def _shown_in_words(value: object) -> str:
    if value is None:
        return "null"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int):
        return str(value) if abs(value) < _LARGE else "a very large number"
    if isinstance(value, float):
        return repr(value)
    return _NAMES_OF_TYPES.get(type(value), f"a {type(value).__name__}")


def found(messages: Any, path: Path = ()) -> Iterator[Found]:
    """Yield every fault of a tree of marshmallow messages."""
    if isinstance(messages, Mapping):
        for token, inner in messages.items():
            yield from found(inner, (*path, token) if _is_name(token) else path)
    else:
        for fault in messages:
            yield Found(path, fault)


def count(messages: Any) -> int:
    """Return how many faults there are in a tree of marshmallow messages."""
    return sum(map(count, messages.values())) if isinstance(messages, Mapping) else len(messages)


def tree(faults: Iterable[Found]) -> dict[Any, Any]:
    """Return faults as a tree of marshmallow messages, for a field to raise."""
    root: dict[Any, Any] = {}
    for each in faults:
        place = root
        for token in each.path:
            place = place.setdefault(token, {})
        place.setdefault(WHOLE, []).append(each.fault)
    return root


def _is_name(token: object) -> bool:
    """Whether a key can stand in a pointer: what JSON cannot hold is reported at the object around it."""
    if isinstance(token, str):
        return token != SCHEMA and len(token) <= _LONGEST_NAME and token.isprintable()
    return type(token) is int


def pointer(path: Iterable[str | int]) -> str:
    """Return the JSON Pointer (RFC 6901) of a path.

    >>> pointer(("components", 0, "a/b~c"))
    '/components/0/a~1b~0c'
    """
    return "".join("/" + str(token).replace("~", "~0").replace("/", "~1") for token in path)


def in_document_order(faults: Iterable[Found], document: Any) -> list[Problem]:
    """Return the problems in the order in which a reader of the document meets them.

    Of more than MOST_PROBLEMS, the last one says that there are more, at the first place of which nothing is told.
    """
    nearest = Nearest()
    places = _Places(document)
    ordered = sorted(faults, key=lambda each: places.key(each.path))
    told = [
        Problem(pointer(each.path), each.fault.code, _detail(each.fault, nearest)) for each in ordered[:MOST_PROBLEMS]
    ]
    if len(ordered) > MOST_PROBLEMS:
        more = f"is wrong, too, and perhaps more is; {MOST_PROBLEMS} problems are told at once"
        told.append(Problem(pointer(ordered[MOST_PROBLEMS].path), TOO_MANY, more))
    return told


def _detail(fault: Fault, nearest: Nearest) -> str:
    names = nearest.names(fault.word, fault.known, fault.offered) if fault.word is not None else []
    if not names:
        return str(fault)
    return f"{fault}; did you mean {' or '.join(shown(name) for name in names)}?"


class _Places:
    """Where each member of a document stands among its neighbours; one that is missing stands last."""

    def __init__(self, document: Any) -> None:
        self._document = document
        self._order: dict[int, dict[Any, int]] = {}

    def key(self, path: Path) -> tuple[int, ...]:
        place: Any = self._document
        key = []
        for token in path:
            key.append(self._among(place, token))
            place = _member(place, token)
        return tuple(key)

    def _among(self, place: Any, token: str | int) -> int:
        if not isinstance(place, dict):
            return token if isinstance(token, int) else 0
        if len(place) == 1:
            return 0 if token in place else 1
        if id(place) not in self._order:
            self._order[id(place)] = {name: number for number, name in enumerate(place)}
        return self._order[id(place)].get(token, len(place))


def _member(place: Any, token: str | int) -> Any:
    if isinstance(place, dict):
        return place.get(token)
    if isinstance(place, list) and isinstance(token, int) and token < len(place):
        return place[token]
    return None
