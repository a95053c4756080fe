"""The reference to a record, and the text of the code."""

import pytest

from sccr.nameplate import InvalidRecord
from sccr.nameplate import RecordReference
from sccr.nameplate.record import read_code

DIGEST = "0123456789abcdef" * 4


def test_the_text_of_the_code_is_as_documented_and_reads_back() -> None:
    record = RecordReference("01JD0M8TT9CQ8Z5B2W7E4R6KNV", DIGEST)

    assert record.code_text == f"SCCR1 01JD0M8TT9CQ8Z5B2W7E4R6KNV {DIGEST.upper()}"
    assert read_code(record.code_text) == record
    assert record.as_dict() == {"id": record.id, "document_digest": DIGEST, "code": record.code_text}


@pytest.mark.parametrize("name", ["", "a b", "x" * 41, "é", "1\n"])
def test_what_is_no_id_is_refused(name: str) -> None:
    with pytest.raises(InvalidRecord, match="no id of a record"):
        RecordReference(name, DIGEST)


@pytest.mark.parametrize("digest", ["", DIGEST[:-1], DIGEST.upper(), DIGEST + "0", DIGEST[:-1] + "g"])
def test_what_is_no_digest_is_refused(digest: str) -> None:
    with pytest.raises(InvalidRecord, match="no SHA-256"):
        RecordReference("01J", digest)


@pytest.mark.parametrize("text", ["", "SCCR1", f"SCCR2 01J {DIGEST}", f"SCCR1  01J {DIGEST}", "SCCR1 01J 00"])
def test_what_is_no_code_of_ours_is_refused(text: str) -> None:
    with pytest.raises(InvalidRecord):
        read_code(text)
