"""What schemathesis does not know by itself: how lines of JSON are sent."""

import json
from typing import Any

import schemathesis


@schemathesis.serializer("application/x-ndjson")
def lines(context: schemathesis.SerializationContext, value: Any) -> bytes:
    """Return the body: a text as it is, and of what is meant to be wrong, its JSON."""
    text = value if isinstance(value, str) else json.dumps(value)
    return text.encode("utf-8", "surrogatepass")
