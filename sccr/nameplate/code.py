"""The code on the plate, as Data Matrix or QR, from `RecordReference.code_text`."""

from enum import StrEnum
from typing import Final

import segno
from ppf.datamatrix import DataMatrix

#: A row of modules, true where dark.
Modules = tuple[tuple[bool, ...], ...]


class Symbology(StrEnum):
    """The symbologies that a plate may carry (ISO/IEC 16022, ISO/IEC 18004)."""

    DATA_MATRIX = "data_matrix"
    QR = "qr"


#: The quiet zone around each, in modules: of QR as its standard has it; of Data Matrix twice the one that it asks for.
QUIET: Final = {Symbology.DATA_MATRIX: 2, Symbology.QR: 4}
#: One dot of a printer with 300 dots an inch [mm]: modules stand on whole dots.
DOT: Final = 25.4 / 300
#: The least side of a module, and that on a plate of the usual size [dots].
LEAST_DOTS: Final = 4
USUAL_DOTS: Final = 5.5


def modules(text: str, symbology: Symbology) -> Modules:
    """Return the modules of a code without its quiet zone, row by row from the top."""
    if symbology is Symbology.DATA_MATRIX:
        return tuple(tuple(map(bool, row)) for row in DataMatrix(text).matrix)
    code = segno.make(text, error="m", boost_error=False, micro=False)
    return tuple(tuple(map(bool, row)) for row in code.matrix)
