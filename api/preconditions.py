"""Conditions on a change: nothing is overwritten that whoever writes has not seen."""

from flask import request

from .refusals import Refusal


def require_condition() -> None:
    """Raise Refusal (428) where a request that changes something does not say what it has seen of it."""
    if not request.if_match and "If-Match" not in request.headers and "If-None-Match" not in request.headers:
        raise Refusal(
            "precondition-required",
            "Send If-Match with the ETag of what is to be changed, or If-None-Match: * to make it new.",
        )


def check_condition(tag: str | None) -> None:
    """Raise Refusal (412) where what is there is not what the caller has seen; `tag` names it, None: nothing is there.

    If-Match is compared strongly, as RFC 9110, section 13.1.1, says.
    """
    if "If-Match" in request.headers:
        seen = request.if_match
        if tag is None or not (seen.star_tag or seen.contains(tag)):
            raise _failed(tag)
    if "If-None-Match" in request.headers:
        unwanted = request.if_none_match
        if tag is not None and (unwanted.star_tag or unwanted.contains_weak(tag)):
            raise _failed(tag)


def _failed(tag: str | None) -> Refusal:
    there = "There is nothing here (any more)" if tag is None else f'It has changed, or is there: its ETag is "{tag}"'
    return Refusal("precondition-failed", f"{there}. Read it again, and decide anew.")
