"""Lines of NDJSON out of pieces of bytes as they come, in no more memory than the longest line that is read."""

from collections.abc import Iterable
from collections.abc import Iterator
from typing import Final

_GROUP_LINES: Final = 500
_GROUP_BYTES: Final = 2**20


def lines_in(pieces: Iterable[bytes], longest: int) -> Iterator[bytes]:
    """Yield the lines, without their ends. Of one that is longer than `longest` come `longest` + 1 bytes of it.

    The end of a line is a line feed, which a carriage return may precede; that of the last one may be missing.

    >>> list(lines_in([b"{}\\r\\n[", b"]\\n\\n1"], 10))
    [b'{}', b'[]', b'', b'1']
    """
    kept = bytearray()
    begun = False
    for piece in pieces:
        start = 0
        while (end := piece.find(b"\n", start)) >= 0:
            _keep(kept, piece[start:end], longest)
            yield _whole(kept)
            kept.clear()
            begun = False
            start = end + 1
        if start < len(piece):
            _keep(kept, piece[start:], longest)
            begun = True
    if begun:
        yield _whole(kept)


def groups_of(lines: Iterable[bytes]) -> Iterator[list[bytes]]:
    """Yield the lines in groups that are written at once: of some hundred lines, or about a mebibyte."""
    group: list[bytes] = []
    size = 0
    for line in lines:
        group.append(line)
        size += len(line)
        if len(group) == _GROUP_LINES or size >= _GROUP_BYTES:
            yield group
            group, size = [], 0
    if group:
        yield group


def _keep(kept: bytearray, more: bytes, longest: int) -> None:
    """Add to a line what is read of it: a byte more than the longest, and one for its carriage return."""
    room = longest + 2 - len(kept)
    if room > 0:
        kept += more[:room]


def _whole(kept: bytearray) -> bytes:
    return bytes(kept.removesuffix(b"\r"))
