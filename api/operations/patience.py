"""Sockets that do not wait for ever: for a request that does not come, or an answer that is not taken."""

import errno
import socket
import time
from typing import Any
from typing import Final

from flask import request

#: Where a server puts the socket of a request into its environment (gunicorn's name).
_IN_ENVIRONMENT: Final = "gunicorn.socket"


class TooSlow(TimeoutError):
    """The other side did not send, or take, what there was in its time."""

    def __init__(self) -> None:
        # The number is that of a connection that is lost, which servers take without a traceback in the log.
        super().__init__(errno.ECONNRESET, "the other side is too slow")


class PatientSocket(socket.socket):
    """A socket on which a whole request must come, and each piece of an answer be taken, in a time.

    The timeout of a socket is for one call: a request that comes in drips, a byte in each, would hold a thread for
    hours. Here a moment is set by which all of it must be there.
    """

    send_seconds: float = 30.0
    #: Whether the request did not come in its time, and whether any of its answer was sent.
    late = False
    answered = False
    _until: float | None = None

    @classmethod
    def of(cls, connection: socket.socket, send_seconds: float) -> "PatientSocket":
        """Return a connection as such a socket; the one that was given is no more."""
        own = cls(fileno=connection.detach())
        own.send_seconds = send_seconds
        return own

    def begin(self, seconds: float) -> None:
        """Expect a new request, all of it in so many seconds from now."""
        self.late = self.answered = False
        self.expect(seconds)

    def expect(self, seconds: float) -> None:
        """Give what is to come of a request so many seconds from now."""
        self._until = time.monotonic() + seconds

    def recv(self, *arguments: Any) -> bytes:
        """Receive as a socket does; TooSlow where the time is up."""
        if self._until is None:
            return super().recv(*arguments)
        left = self._until - time.monotonic()
        own = self.gettimeout()
        if left <= 0:
            self.late = True
            raise TooSlow
        self.settimeout(left if own is None else min(left, own))
        try:
            return super().recv(*arguments)
        except TimeoutError:
            self.late = True
            raise TooSlow from None
        finally:
            self.settimeout(own)

    def sendall(self, *arguments: Any) -> None:
        """Send all as a socket does; TooSlow where the other side does not take it in its time."""
        self.answered = True
        own = self.gettimeout()
        if own is None:
            self.settimeout(self.send_seconds)
        try:
            super().sendall(*arguments)
        except TimeoutError:
            raise TooSlow from None
        finally:
            self.settimeout(own)


def came_too_late() -> bool:
    """Return whether this request did not come in its time; what was read of it breaks off."""
    connection = request.environ.get(_IN_ENVIRONMENT)
    return isinstance(connection, PatientSocket) and connection.late


def expect_more(seconds: float) -> None:
    """Give the rest of this request so many seconds from now: for a body that is read, piece by piece, as it comes."""
    connection = request.environ.get(_IN_ENVIRONMENT)
    if isinstance(connection, PatientSocket):
        connection.expect(seconds)
