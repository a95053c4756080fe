"""What the code on a plate holds: which record, and the digest of the document that it must hold.

The text of the code is `SCCR1 <id> <digest>`: the format's name, the id of the record as the service gave it, and the
SHA-256 of the canonical panel document (RFC 8785) in upper-case hexadecimal digits, a space between them. Upper case,
because both symbologies pack it tighter; `read_code` gives the digest back as the service writes it.
"""

import re
from dataclasses import dataclass
from typing import Final

from sccr.nameplate.errors import InvalidRecord

FORMAT: Final = "SCCR1"

_ID: Final = re.compile(r"[0-9A-Za-z_-]{1,40}")
_DIGEST: Final = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True, slots=True)
class RecordReference:
    """A record of a rating: its id, and the SHA-256 of the document that was rated, as hexadecimal digits."""

    id: str
    document_digest: str

    def __post_init__(self) -> None:
        if not _ID.fullmatch(self.id):
            raise InvalidRecord(f"{self.id!r} is no id of a record: 1 to 40 letters, digits, '-' and '_' are")
        if not _DIGEST.fullmatch(self.document_digest):
            raise InvalidRecord(f"{self.document_digest!r} is no SHA-256 in 64 lower-case hexadecimal digits")

    @property
    def code_text(self) -> str:
        """Return the text of the code."""
        return f"{FORMAT} {self.id} {self.document_digest.upper()}"

    def as_dict(self) -> dict[str, str]:
        """Return the fields of the contract, the text of the code among them."""
        return {"id": self.id, "document_digest": self.document_digest, "code": self.code_text}


def read_code(text: str) -> RecordReference:
    """Return the record that a code names. Raises InvalidRecord where the text is not of this format.

    >>> read_code("SCCR1 01JD0M8TT9CQ8Z5B2W7E4R6KNV " + "0A" * 32).id
    '01JD0M8TT9CQ8Z5B2W7E4R6KNV'
    """
    words = text.split(" ")
    if len(words) != 3 or words[0] != FORMAT:
        raise InvalidRecord(f"{text!r} is not of the form '{FORMAT} <id> <digest>'")
    return RecordReference(words[1], words[2].lower())
