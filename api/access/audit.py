"""The audit log: who did what to what, and under the name of which request."""

from typing import Any

from ..requests import request_id
from .caller import caller
from .state import access


def audit(action: str, object: str, **detail: Any) -> None:
    """Note that the caller of this request did something to something.

    Parameters
    ----------
    action : str
        What was done, such as "part.put" or "key.revoke".
    object : str
        What it was done to, as the caller would name it.
    **detail
        What else tells it from others of its kind: strings, numbers, lists and mappings.

    Call it inside the transaction of the store that it tells of: then the two stand or fall together.
    """
    access().trail.write_audit(action, object, detail, key_id=caller().key_id, request_id=request_id())
