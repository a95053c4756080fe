"""What can go wrong between a caller and the service."""

from collections.abc import Mapping
from typing import Any


class ClientError(Exception):
    """Whatever a client raises of its own."""


class NoAnswer(ClientError):
    """The service did not answer, not even after the request was sent again."""


class BadAddress(ClientError):
    """The address is none, or what answers there is not the service."""


class Problem(ClientError):
    """The service refused or failed (RFC 9457).

    type: which kind it is, such as "/problems/invalid-document"; status: of HTTP. errors: everything that is wrong with
    what was sent, each with `pointer`, `code` and `detail`. request_id: under which the log of the service holds it.
    attempts: how often the request was sent. retry_after: when to come again [s], as it was answered.
    members: the whole answer.
    """

    def __init__(
        self, members: Mapping[str, Any], status: int, attempts: int = 1, retry_after: str | None = None
    ) -> None:
        self.members = dict(members)
        self.status = status
        self.attempts = attempts
        self.retry_after = retry_after
        self.type = str(members.get("type", "about:blank"))
        self.title = str(members.get("title", f"HTTP status {status}"))
        self.detail = str(members.get("detail", ""))
        self.errors: list[dict[str, str]] = list(members.get("errors", []))
        self.request_id: str | None = members.get("request_id")
        super().__init__(self._told())

    @property
    def slug(self) -> str:
        """Return the last step of `type`, by which programs tell the kinds apart."""
        return self.type.rpartition("/")[2]

    def _told(self) -> str:
        lines = [f"{self.title} ({self.status}): {self.detail}".rstrip(": ")]
        lines += [f"  {_place(error)}: {error.get('detail', '')} [{error.get('code', '')}]" for error in self.errors]
        return "\n".join(lines)


def _place(error: Mapping[str, str]) -> str:
    return error.get("pointer") or "(document)"
