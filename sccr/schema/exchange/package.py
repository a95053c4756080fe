"""What is looked at in a workbook before it is read: a zip archive of XML, either of which can be a bomb."""

import zlib
from io import BytesIO
from typing import IO
from typing import Final
from xml.parsers import expat
from zipfile import ZIP_DEFLATED
from zipfile import ZIP_STORED
from zipfile import BadZipFile
from zipfile import ZipFile
from zipfile import ZipInfo

from sccr.schema.exchange.problem import NoTable
from sccr.schema.exchange.table import MOST_COLUMNS
from sccr.schema.exchange.table import MOST_LINES

_MOST_ENTRIES: Final = 1_000
#: Of all entries together, unpacked. 50,000 parts with all that can be marked on them take about half of it.
_MOST_BYTES: Final = 256 * 2**20
#: Of the elements between one row, or shared text, and the next, which are held in memory together.
_MOST_TOGETHER: Final = 100 * MOST_COLUMNS
_ROW: Final = "row"
_PARTS_OF_A_SHEET: Final = (_ROW, "si")
_ENCRYPTED: Final = 0x1
#: What an .xls file, or a workbook with a password, begins with.
_COMPOUND_FILE: Final = b"\xd0\xcf\x11\xe0"

_UNREADABLE: Final = (BadZipFile, NotImplementedError, OSError, EOFError, ValueError, zlib.error)


def refuse_bombs(body: bytes) -> None:
    """Raise NoTable for what is no workbook, or one that unpacks to more than any list of parts."""
    if body.startswith(_COMPOUND_FILE):
        raise NoTable("not-xlsx", "is an .xls file, or has a password; save it as .xlsx without one")
    try:
        with ZipFile(BytesIO(body)) as archive:
            entries = archive.infolist()
            _refuse_size(entries)
            for entry in entries:
                with archive.open(entry) as stream:
                    _refuse_xml(stream)
    except _UNREADABLE as error:
        raise NoTable("not-xlsx", "is no .xlsx workbook, or a damaged one") from error


def _refuse_size(entries: list[ZipInfo]) -> None:
    if len(entries) > _MOST_ENTRIES:
        raise NoTable("too-large", f"has {len(entries)} entries; a workbook of parts has at most {_MOST_ENTRIES}")
    size = sum(entry.file_size for entry in entries)
    if size > _MOST_BYTES:
        raise NoTable("too-large", f"unpacks to {size >> 20} MiB; {_MOST_BYTES >> 20} MiB are the most")
    if any(entry.flag_bits & _ENCRYPTED for entry in entries):
        raise NoTable("not-xlsx", "has a password; save it without one")
    if any(entry.compress_type not in (ZIP_STORED, ZIP_DEFLATED) for entry in entries):
        raise NoTable("not-xlsx", "is packed in another way than a workbook is")


def _refuse_xml(stream: IO[bytes]) -> None:
    """Read an entry without keeping anything of it; one that is not XML is no danger and is left alone."""
    parser = expat.ParserCreate()
    scan = _Scan()
    parser.StartDoctypeDeclHandler = scan.doctype
    parser.StartElementHandler = scan.element
    try:
        parser.ParseFile(stream)
    except expat.ExpatError:
        return


class _Scan:
    """Counts elements, of which an XML reader makes objects fifty times their length."""

    def __init__(self) -> None:
        self._together = 0
        self._rows = 0

    def doctype(self, *_declared: object) -> None:
        """Refuse what could define entities: no workbook has it."""
        raise NoTable("not-xlsx", "declares a document type, which no workbook does")

    def element(self, name: str, _attributes: object) -> None:
        """Count the element."""
        self._together += 1
        kind = name.rpartition(":")[2]
        if kind in _PARTS_OF_A_SHEET:
            self._together = 0
            self._rows += kind == _ROW
            if self._rows > MOST_LINES:
                raise NoTable("too-large", f"has more than {MOST_LINES} rows, be they empty")
        elif self._together > _MOST_TOGETHER:
            raise NoTable("too-large", f"has more than {_MOST_TOGETHER} elements beside each other in its XML")
