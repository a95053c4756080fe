"""`python -m tests.validation`: runs the tests that check the main job, and writes docs/validation.md of the result."""

import sys

from sccr.version import ENGINE_VERSION
from tests.validation.checks import DOCUMENT
from tests.validation.checks import checks
from tests.validation.checks import document
from tests.validation.checks import outcomes


def main() -> int:
    """Return 0 where everything passed."""
    listed = checks()
    found = outcomes(listed, workers="auto")
    DOCUMENT.write_text(document(listed, found, ENGINE_VERSION), "utf-8")
    return 1 if any(counted["failed"] for counted in found.values()) else 0


if __name__ == "__main__":
    sys.exit(main())
