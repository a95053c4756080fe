"""The kinds of refusal, each with the page that its `type` leads to."""

from collections.abc import Iterable
from dataclasses import dataclass
from http import HTTPStatus
from typing import Any
from typing import Final

from sccr.errors import Problem

from .order_problems import ORDER_PROBLEMS
from .order_problems import PARTICULAR


@dataclass(frozen=True, slots=True)
class ProblemType:
    """One kind of refusal (RFC 9457): the slug of its page, its HTTP status, its title, and what to do about it."""

    slug: str
    status: int
    title: str
    description: str

    @property
    def uri(self) -> str:
        """Return the member `type` of a problem, a reference to its page."""
        return f"/problems/{self.slug}" if self.slug else _UNNAMED

    def as_dict(self) -> dict[str, str | int]:
        """Return the page as a mapping."""
        return {"type": self.uri, "title": self.title, "status": self.status, "description": self.description}


_TYPES: Final = (
    ProblemType(
        "bad-request",
        400,
        "The request cannot be read",
        "The request breaks the rules of HTTP, or its body ended before it was complete. Send it again, whole.",
    ),
    ProblemType(
        "malformed-json",
        400,
        "The body is not JSON",
        "The body is not JSON in UTF-8, or not the JSON that is taken here: without NaN or Infinity, without a byte "
        "order mark, nested no deeper than 32. The detail names line and column where they are known.",
    ),
    ProblemType(
        "unauthorized",
        401,
        "A key is needed",
        "The service has keys, and the request has none, or one that is unknown or revoked. Send the one that you were "
        "given in the header Authorization, after the word Bearer.",
    ),
    ProblemType(
        "forbidden",
        403,
        "The key may not do this",
        "The key is known, but of a role that may not do what was asked for. The detail names the role that may; each "
        "role may do all that those before it may: read, rate, catalogue, admin.",
    ),
    ProblemType(
        "not-found",
        404,
        "There is nothing here",
        "No resource has this address. The contract, /openapi.yaml, lists those that there are.",
    ),
    ProblemType(
        "method-not-allowed",
        405,
        "The resource does not take this method",
        "The header Allow of the answer names the methods that it takes.",
    ),
    ProblemType(
        "not-acceptable",
        406,
        "No acceptable form",
        "The header Accept excludes every form in which the answer can be given. Ask for application/json, "
        "or leave the header out.",
    ),
    ProblemType(
        "request-timeout",
        408,
        "The request did not come in time",
        "The head of the request or its body took longer to come than the service waits. Send it again; send what is "
        "much in pieces.",
    ),
    ProblemType(
        "body-too-large",
        413,
        "The body is too large",
        "The body is longer than the service reads; the detail says how long it may be. Quote drawings and pictures "
        "by number; a panel document holds what is marked on the parts.",
    ),
    ProblemType(
        "unsupported-media-type",
        415,
        "The body is of another media type",
        "Send application/json, or application/*+json, in UTF-8 and without a content encoding.",
    ),
    ProblemType(
        "misdirected",
        421,
        "Another machine is meant",
        "The service runs open, without keys, for its own machine. It answers to the names of this machine only, so "
        "that no page of the web can reach it under a name of its own. Use 127.0.0.1 or localhost, or make a key.",
    ),
    ProblemType(
        "invalid-document",
        422,
        "The document cannot be used",
        "The body is JSON, but no panel document that can be rated, or no part that can be catalogued. The member "
        "errors lists everything that is wrong, each with a JSON Pointer (RFC 6901) to the place, a stable code, and "
        "what to write instead. "
        "Keys repeated in one object are refused too, since two readers could take different ones.",
    ),
    ProblemType(
        "too-many-requests",
        429,
        "Too many requests",
        "The key, or the address where there is none, has sent more requests than it may. Retry-After says in how many "
        "seconds the next is taken; the header RateLimit of each answer says how many are left.",
    ),
    ProblemType(
        "internal-error",
        500,
        "The service failed",
        "This is a fault of the service, not of the request: no rating was given. Report it with the request_id, "
        "under which the log holds the cause.",
    ),
    ProblemType(
        "not-ready",
        503,
        "The service is not ready",
        "A check of the service fails; the member checks says which. Send requests elsewhere until it passes.",
    ),
    ProblemType(
        "busy",
        503,
        "The service is busy",
        "The service has more to do than it takes on. Nothing was done of this request: send it again after the "
        "seconds that Retry-After says.",
    ),
    ProblemType(
        "out-of-time",
        503,
        "It took too long",
        "What was asked for took longer than the service gives it, and was stopped. Nothing was kept. The service may "
        "have been busy: ask again after the seconds that Retry-After says; if it stays so, send less in one document.",
    ),
    *(ProblemType(*each) for each in ORDER_PROBLEMS),
)

PROBLEM_TYPES: Final = {each.slug: each for each in _TYPES}

#: The type of an HTTP status where nothing more particular is known.
BY_STATUS: Final = {
    each.status: each for each in _TYPES if each.slug not in {"malformed-json", "busy", "out-of-time", *PARTICULAR}
}

_UNNAMED: Final = "about:blank"

#: The most errors that one answer lists: a body of many small mistakes must not become an answer of many megabytes.
MOST_ERRORS: Final = 1000


def problem_type(status: int) -> ProblemType:
    """Return what is known of an HTTP status: where there is no page for it, the bare one of RFC 9457."""
    if status in BY_STATUS:
        return BY_STATUS[status]
    phrase = HTTPStatus(status).phrase
    return ProblemType("", status, phrase, f"{phrase}.")


def problem_members(
    kind: ProblemType, detail: str, instance: str, request_id: str, errors: Iterable[Problem] = ()
) -> dict[str, Any]:
    """Return a problem (RFC 9457) as a mapping."""
    return {
        "type": kind.uri,
        "title": kind.title,
        "status": kind.status,
        "detail": detail,
        "instance": instance,
        "request_id": request_id,
        "errors": [error.as_dict() for error in errors],
    }


def counted(count: int) -> str:
    """Return how many errors there are, and whether all of them are listed."""
    told = "1 error" if count == 1 else f"{count} errors"
    return f"{told}, of which errors lists the first {MOST_ERRORS}" if count > MOST_ERRORS else told
