"""What schemathesis does not know by itself: how lines of JSON are sent."""

from typing import Any

import schemathesis


@schemathesis.serializer("application/x-ndjson")
def lines(context: schemathesis.SerializationContext, value: Any) -> bytes:
    """Return the body: a text as it is, and nothing of what is meant to be wrong, whose JSON would be a right line."""
    text = value if isinstance(value, str) else ""
    return text.encode("utf-8", "surrogatepass")
