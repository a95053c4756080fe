"""The files of the page, read once: each with its media type, and pressed for whoever takes it so."""

import gzip
import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Final

from . import demos

_STATIC: Final = Path(__file__).parent / "static"
_INDEX: Final = "index.html"
_MEDIA_TYPES: Final = {
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".svg": "image/svg+xml",
    ".json": "application/json",
}


@dataclass(frozen=True, slots=True)
class File:
    """A file of the page: its bytes, the same pressed (gzip), and its media type."""

    content: bytes
    pressed: bytes
    media_type: str

    @classmethod
    def of(cls, name: str, content: bytes) -> "File":
        """Return the file of a name; no time is pressed into it, so that equal files stay equal."""
        return cls(content, gzip.compress(content, 9, mtime=0), _MEDIA_TYPES[Path(name).suffix])


@cache
def files() -> dict[str, File]:
    """Return every file but the page itself, by its name."""
    return {name: File.of(name, content) for name, content in _contents()}


@cache
def digest() -> str:
    """Return what names this state of all files together: they refer to each other, so they change as one."""
    read = hashlib.sha256((_STATIC / _INDEX).read_bytes())
    for name, file in sorted(files().items()):
        read.update(f"{name}\0{len(file.content)}\0".encode() + file.content)
    return read.hexdigest()[:16]


@cache
def index() -> File:
    """Return the page: it names the state of its files, and asks for all modules at once instead of one by one."""
    written = (_STATIC / _INDEX).read_text("utf-8")
    modules = sorted(name for name in files() if name.endswith(".js"))
    preloads = "\n".join(f'  <link rel="modulepreload" href="/page/{digest()}/{name}">' for name in modules)
    filled = written.replace("{{base}}", f"/page/{digest()}").replace("{{modules}}", preloads.lstrip())
    return File.of(_INDEX, filled.encode())


def _contents() -> Iterator[tuple[str, bytes]]:
    from . import palette  # it draws every symbol, and what draws is heavy

    for path in sorted(_STATIC.iterdir()):
        if path.suffix in _MEDIA_TYPES and path.name != _INDEX:
            yield path.name, path.read_bytes()
    for name, value in {
        "demos.json": demos.panels(),
        "demo-catalogue.json": demos.catalogue(),
        "kinds.json": palette.kinds(),
    }.items():
        yield name, json.dumps(value, ensure_ascii=False, separators=(",", ":")).encode()
