"""What can keep a panel from its nameplate.

* NameplateError
  + NameplateRefused     the rating is withheld, or does not cover an available fault current
  + NameplateMismatch    the rating, the document, the catalogue or the record do not belong together
  + InvalidRecord        a record's id or digest, or the text of a code, has not the form that it must have
  + InvalidSize          no plate of that size, or no image of that resolution, is made
  + DoesNotFit           what must be on the plate does not fit it; carries the size that is needed
  + Unletterable         the font has no letter for a character, or not one that stands by itself
"""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from sccr.errors import SccrError

if TYPE_CHECKING:
    from sccr.nameplate.size import Size


class NameplateError(SccrError):
    """Base of what can keep a panel from its nameplate."""


class NameplateRefused(NameplateError):
    """The panel gets no nameplate. `reason` says why."""

    def __init__(self, reason: str) -> None:
        self.reason = reason
        super().__init__(f"no nameplate: {reason}")


class NameplateMismatch(NameplateError):
    """What is given does not belong together; `what` names it."""

    def __init__(self, what: str) -> None:
        self.what = what
        super().__init__(f"{what} is not the one that the rating was made with")


class InvalidRecord(NameplateError):
    """A reference to a record that cannot be one."""


class InvalidSize(NameplateError):
    """A size or a resolution out of bounds."""


class DoesNotFit(NameplateError):
    """What must be on the plate does not fit `size`. `needed`: the size of the same proportions that holds it, if any.

    Nothing is clipped, and no letter is made smaller than the minimum: a larger plate is the remedy.
    """

    def __init__(self, size: "Size", needed: "Size | None", largest: "Size") -> None:
        self.size = size
        self.needed = needed
        remedy = f"at least {needed.text} is needed" if needed else f"nor does it fit {largest.text}, the largest made"
        super().__init__(f"what the nameplate must say does not fit {size.text}: {remedy}")


class Unletterable(NameplateError):
    """A text holds characters that cannot be lettered. `characters` names them, `text` is where they stand."""

    def __init__(self, text: str, characters: Iterable[str]) -> None:
        self.text = text
        self.characters = tuple(characters)
        named = ", ".join(f"U+{ord(c):04X}" for c in self.characters)
        super().__init__(f"{text!a} cannot be lettered on a nameplate: no letter for {named}")
