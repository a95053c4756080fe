"""The document of what was checked is that of the tests there are."""

import re
import subprocess
import sys
from collections import Counter

from sccr.version import ENGINE_VERSION
from tests.validation.checks import DOCUMENT
from tests.validation.checks import KINDS
from tests.validation.checks import ROOT
from tests.validation.checks import checks
from tests.validation.checks import document


def test_each_check_is_there_and_of_a_known_kind() -> None:
    listed = checks()
    assert len({check.tests for check in listed}) == len(listed)
    for check in listed:
        assert (ROOT / check.tests).is_file(), check.tests
        assert check.kind in KINDS


def test_every_module_of_published_cases_and_of_rules_is_listed() -> None:
    listed = {check.tests for check in checks()}
    for folder in ("tests/published", "tests/derived"):
        assert {str(path.relative_to(ROOT)) for path in (ROOT / folder).glob("test_*.py")} <= listed


def test_the_document_is_that_of_these_tests() -> None:
    """Counted by collecting them; that they pass is what the rest of the suite says."""
    listed = checks()
    command = [sys.executable, "-m", "pytest", "--collect-only", "-q", "-p", "no:cacheprovider", "-o", "addopts="]
    ran = subprocess.run(
        [*command, *(check.tests for check in listed)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
        timeout=120,
    )
    collected = Counter(re.findall(r"^(tests/[^:\s]+\.py)::", ran.stdout, re.MULTILINE))
    written = DOCUMENT.read_text("utf-8")
    rows = re.findall(r"^\|.*\| (\d+) \| (\d+) \| (\d+) \| `(tests/[^`]+)` \|$", written, re.MULTILINE)
    counted = {path: int(passed) + int(failed) + int(skipped) for passed, failed, skipped, path in rows}

    assert counted == dict(collected), "python -m tests.validation writes it anew"
    assert all(failed == "0" for _, failed, _, _ in rows)
    found = {path: Counter(passed=int(a), failed=int(b), skipped=int(c)) for a, b, c, path in rows}
    assert written == document(listed, found, ENGINE_VERSION)
