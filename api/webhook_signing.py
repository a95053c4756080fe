"""Signatures of messages, after Standard Webhooks 1.0.0: HMAC-SHA256 over the id, the time and the body."""

import base64
import hashlib
import hmac
import secrets
from typing import Final

_PREFIX: Final = "whsec_"
_BYTES: Final = 32


def new_secret() -> str:
    """Return a secret as it is given to whoever is to check the signatures."""
    return _PREFIX + base64.b64encode(secrets.token_bytes(_BYTES)).decode()


def signed(secret: str, id: str, seconds: int, body: bytes) -> dict[str, str]:
    """Return the headers of a message that is sent at that time [s since 1970]."""
    key = base64.b64decode(secret.removeprefix(_PREFIX), validate=True)
    mac = hmac.new(key, f"{id}.{seconds}.".encode() + body, hashlib.sha256).digest()
    signature = f"v1,{base64.b64encode(mac).decode()}"
    return {"webhook-id": id, "webhook-timestamp": str(seconds), "webhook-signature": signature}
