"""How ratings are written in a cell: 65 kA @ 480Y/277 V behind fuse J, CC max 30 A."""

import re
from collections.abc import Mapping
from typing import Any
from typing import Final

from sccr.panel.component import Capacity
from sccr.schema.exchange.forms import Form
from sccr.schema.exchange.problem import CellError
from sccr.schema.problems import shown
from sccr.schema.ratings import FUSE_CLASSES
from sccr.schema.ratings import UTILIZATION_CATEGORIES

_BEHIND: Final = re.compile(r"\sbehind(?:\s|$)")
_BRACKETED_OR_SEPARATOR: Final = re.compile(r"(\[[^\[\]]*\]|[;\n])")
_DEVICES: Final = {
    "fuse": "fuse",
    "breaker": "circuit_breaker",
    "circuit_breaker": "circuit_breaker",
    "part": "circuit_breaker",
}
_WORDS: Final = {"fuse": "fuse", "circuit_breaker": "breaker"}
_NAMED_BY: Final = {"fuse": "fuse_classes", "circuit_breaker": "parts"}
_KINDS_OF_CAPACITY: Final = tuple(each.value for each in Capacity)
_COORDINATION: Final = re.compile(r"(.*\S)\s+type ([0-9]{1,4})")
_DEVICE_EXAMPLES: Final = '"behind fuse J, CC max 30 A" or "behind breaker OAT-3P-30 max 30 A"'


class RatingForm(Form):
    """A current at a voltage, and where the rating has it, the device that it holds behind and its reference.

    device: the member that holds the device, if there is one; example: what to write; coordination: whether a type
    of coordination may follow the device.
    """

    def __init__(
        self, example: str, device: str | None = None, *, reference: bool = False, coordination: bool = False
    ) -> None:
        self._example = example
        self._device = device
        self._reference = reference
        self._coordination = coordination

    def parted(self, text: str) -> list[str]:
        """Return the entries of a list; a separator within brackets is part of a reference."""
        entries = [""]
        for piece in _BRACKETED_OR_SEPARATOR.split(text):
            if piece in (";", "\n"):
                entries.append("")
            else:
                entries[-1] += piece
        return [entry for entry in map(str.strip, entries) if entry]

    def read(self, text: str) -> dict[str, Any]:
        """Return the rating; its quantities are left for the schema to judge."""
        current, at, rest = text.partition("@")
        if not at:
            told = f'is no rating; write a current at a voltage, such as "{self._example}"'
            raise CellError("not-a-rating", f"{shown(text)} {told}")
        rating: dict[str, Any] = {"current": current.strip()}
        rest = rest.strip()
        if self._reference and rest.endswith("]"):
            rest, _, reference = rest[:-1].rpartition("[")
            rating["reference"] = reference.strip()
        if self._coordination and (match := _COORDINATION.fullmatch(rest)):
            rest, rating["coordination"] = match[1], int(match[2])
        voltage, *device = _BEHIND.split(rest, maxsplit=1)
        if device:
            if self._device is None:
                raise CellError("not-applicable", f'{shown(text)} names a device; write "{self._example}"')
            rating[self._device] = _read_device(device[0])
        return rating | _read_voltage(voltage)

    def write(self, value: Any) -> str | None:
        """Return the rating in one line."""
        if not isinstance(value, Mapping):
            return None
        words = [f"{value.get('current')} @ {_voltage(value)}"]
        if self._device in value:
            words.append(f"behind {_device(value[self._device])}")
        if "coordination" in value:
            words.append(f"type {value['coordination']}")
        if "reference" in value:
            words.append(f"[{value['reference']}]")
        return " ".join(words)


class CapacityForm(RatingForm):
    """A breaking capacity: its kind in front of a current at a voltage."""

    def read(self, text: str) -> dict[str, Any]:
        """Return the breaking capacity; what it lacks is left for the schema to tell."""
        kind, _, rest = text.partition(" ")
        if kind.lower() not in _KINDS_OF_CAPACITY:
            return super().read(text)
        return {"kind": kind.lower(), **super().read(rest)}

    def write(self, value: Any) -> str | None:
        """Return the breaking capacity in one line."""
        rating = super().write(value)
        return None if rating is None else f"{value.get('kind')} {rating}"


class ShortTimeForm(Form):
    """A short-time withstand current, its duration, and the peak withstand current where it is known."""

    _example: Final = "10 kA for 1 s, 17 kA peak"

    def read(self, text: str) -> dict[str, Any]:
        """Return the rating; its quantities are left for the schema to judge."""
        current, during, rest = text.partition(" for ")
        duration, comma, peak = rest.partition(",")
        if not during or (comma and not peak.rstrip().endswith("peak")):
            told = f'is no short-time withstand current; write "{self._example}"'
            raise CellError("not-a-short-time-rating", f"{shown(text)} {told}")
        rating = {"current": current.strip(), "duration": duration.strip()}
        if comma:
            rating["peak"] = peak.strip().removesuffix("peak").rstrip()
        return rating

    def write(self, value: Any) -> str | None:
        """Return the rating in one line."""
        if not isinstance(value, Mapping):
            return None
        peak = f", {value['peak']} peak" if "peak" in value else ""
        return f"{value.get('current')} for {value.get('duration')}{peak}"


class AmbientForm(Form):
    """An ampere rating at an ambient: 28 A @ 50 °C."""

    def read(self, text: str) -> dict[str, Any]:
        """Return the rating; its quantities are left for the schema to judge."""
        amperes, at, ambient = text.partition("@")
        if not at:
            raise CellError(
                "not-a-rating", f'{shown(text)} is no rating at an ambient; write one such as "28 A @ 50 °C"'
            )
        return {"ampere_rating": amperes.strip(), "ambient": ambient.strip()}

    def write(self, value: Any) -> str | None:
        """Return the rating in one line."""
        return f"{value.get('ampere_rating')} @ {value.get('ambient')}" if isinstance(value, Mapping) else None


class LetThroughForm(Form):
    """A published point of a current-limiting device's let-through."""

    _example: Final = "65 kA: 21 kA peak, 900 kA²s @ 480 V"

    def read(self, text: str) -> dict[str, Any]:
        """Return the point; its quantities are left for the schema to judge."""
        available, colon, rest = text.partition(":")
        lets_through, at, voltage = rest.partition("@")
        peak, comma, i2t = lets_through.partition(",")
        if not (colon and at and peak.rstrip().endswith("peak")):
            told = f'is no point of a let-through curve; write "{self._example}"'
            raise CellError("not-a-let-through", f"{shown(text)} {told}")
        point = {"available": available.strip(), "peak": peak.strip().removesuffix("peak").rstrip()}
        if comma:
            point["i2t"] = i2t.strip()
        return point | _read_voltage(voltage)

    def write(self, value: Any) -> str | None:
        """Return the point in one line."""
        if not isinstance(value, Mapping):
            return None
        i2t = f", {value['i2t']}" if "i2t" in value else ""
        return f"{value.get('available')}: {value.get('peak')} peak{i2t} @ {_voltage(value)}"


def _read_voltage(text: str) -> dict[str, str]:
    voltage, _, last = text.strip().rpartition(" ")
    if last.upper() in ("AC", "DC") and voltage:
        return {"voltage": voltage.rstrip(), "supply": last.lower()}
    return {"voltage": text.strip()}


def _voltage(value: Mapping[str, Any]) -> str:
    supply = f" {str(value['supply']).upper()}" if "supply" in value else ""
    return f"{value.get('voltage')}{supply}"


def _read_device(text: str) -> dict[str, Any]:
    words = f" {' '.join(text.split())} "
    told, most, amperes = words.rpartition(" max ")
    told = (told if most else words).strip()
    first, _, rest = told.partition(" ")
    device = _DEVICES.get(first)
    names = [name for name in map(str.strip, (rest if device else told).split(",")) if name]
    if device is None and names and set(names) <= {*FUSE_CLASSES, *UTILIZATION_CATEGORIES}:
        device = "fuse"
    if device is None:
        raise CellError("not-a-device", f'"behind {text.strip()}" names no device; write {_DEVICE_EXAMPLES}')
    found: dict[str, Any] = {"device": device}
    categories = [name for name in names if name in UTILIZATION_CATEGORIES] if device == "fuse" else []
    if others := [name for name in names if name not in categories]:
        found[_NAMED_BY[device]] = others
    if categories:
        found["utilization_categories"] = categories
    if most:
        found["max_ampere_rating"] = amperes.strip()
    return found


def _device(device: Any) -> str:
    """Return the device in words; what it says of one that is no device does not come back as that."""
    if not isinstance(device, Mapping):
        return ""
    kind = str(device.get("device"))
    words = [_WORDS.get(kind, "")]
    names = [*(device.get(_NAMED_BY.get(kind, "")) or ()), *(device.get("utilization_categories") or ())]
    if names:
        words.append(", ".join(map(str, names)))
    if "max_ampere_rating" in device:
        words.append(f"max {device['max_ampere_rating']}")
    return " ".join(words)
