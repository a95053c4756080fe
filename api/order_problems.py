"""The kinds of refusal of the order desk: slug, HTTP status, title, and what to do about it."""

from typing import Final

ORDER_PROBLEMS: Final = (
    (
        "invalid-parameter",
        400,
        "A parameter of the request is wrong",
        "A parameter of the query, a header or a step of the path is not known or not what is wanted. The member "
        "errors lists them all; the pointer of each leads into the request: /query/…, /headers/… or /path/….",
    ),
    (
        "nameplate-refused",
        409,
        "There is no nameplate for this panel",
        "The rating is withheld, or it does not cover an available fault current that the document states, or a text "
        "cannot be lettered. The detail gives the reason. Change the panel and store a new revision of it.",
    ),
    (
        "idempotency-key-in-use",
        409,
        "The first request is under way",
        "A request with the same Idempotency-Key is being answered. Send it again after the seconds that Retry-After "
        "says: then the answer of the first is repeated.",
    ),
    (
        "precondition-failed",
        412,
        "It has changed meanwhile",
        "What the header If-Match or If-None-Match says of the resource does not hold: somebody else has changed it, "
        "or made it before. Nothing was changed. Read it again, and decide anew.",
    ),
    (
        "invalid-table",
        422,
        "The table cannot be imported",
        "The member errors lists everything that is wrong with the table, by line and column, each with a stable code "
        "and what to write instead. Nothing was imported. Send it with dry_run=true to see only what it would do.",
    ),
    (
        "idempotency-key-reused",
        422,
        "The key is that of another request",
        "The Idempotency-Key was used for a request with another body or other parameters. Make a new key for each "
        "thing that is to be done, and keep it for repetitions of the same request only.",
    ),
    (
        "line-given-up",
        500,
        "The line is not tried again",
        "Each process that was to rate this line of a batch ended before it had. There may be no memory for a panel of "
        "this size, or the service has a fault. No rating was given; the other lines of the batch are rated. "
        "Send a smaller document, or report it with the request_id.",
    ),
    (
        "precondition-required",
        428,
        "Say what is to be changed",
        "A change must name what it is based on, so that nobody overwrites what he has not seen: If-Match with the "
        "ETag of the resource as it was read, or If-None-Match: * where it is to be made new.",
    ),
    (
        "store-unavailable",
        503,
        "The database does not answer",
        "The database cannot be reached, or stayed locked for longer than a caller can wait. Nothing was kept. Send "
        "the request again after the seconds that Retry-After says, with the same Idempotency-Key.",
    ),
)

#: Those that are not what their HTTP status means where nothing more is known.
PARTICULAR: Final = frozenset(slug for slug, *_ in ORDER_PROBLEMS if not slug.startswith("precondition-"))
