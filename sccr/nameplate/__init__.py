"""The nameplate of a panel: its fields from a rating, and the plate drawn as SVG, PDF and PNG.

The names here need nothing beyond the engine. The drawings stand in `as_svg`, `as_pdf` and `as_png`, which need
fonttools, reportlab, segno, ppf-datamatrix and pypdfium2.
"""

from sccr.nameplate.errors import DoesNotFit as DoesNotFit
from sccr.nameplate.errors import InvalidRecord as InvalidRecord
from sccr.nameplate.errors import InvalidSize as InvalidSize
from sccr.nameplate.errors import NameplateError as NameplateError
from sccr.nameplate.errors import NameplateMismatch as NameplateMismatch
from sccr.nameplate.errors import NameplateRefused as NameplateRefused
from sccr.nameplate.errors import Unletterable as Unletterable
from sccr.nameplate.fields import Nameplate as Nameplate
from sccr.nameplate.from_rating import nameplate as nameplate
from sccr.nameplate.from_rating import refusal as refusal
from sccr.nameplate.record import RecordReference as RecordReference
from sccr.nameplate.size import Size as Size

__all__ = [
    "DoesNotFit",
    "InvalidRecord",
    "InvalidSize",
    "Nameplate",
    "NameplateError",
    "NameplateMismatch",
    "NameplateRefused",
    "RecordReference",
    "Size",
    "Unletterable",
    "nameplate",
    "refusal",
]
