"""One message on its way: a connection to an address that was checked, without redirects or proxies, in a set time."""

import http.client
import socket
import ssl
import threading
import time
from collections.abc import Iterable
from collections.abc import Mapping
from contextlib import closing
from contextlib import suppress
from functools import cache
from typing import Final

from .webhook_targets import Target

_FIXED: Final = {"Content-Type": "application/json", "User-Agent": "sccr-webhooks/1", "Connection": "close"}


class _Connection(http.client.HTTPConnection):
    """A connection to an address that was chosen before: a name is not resolved again, to something else, here."""

    def __init__(self, target: Target, address: str, seconds: float) -> None:
        super().__init__(target.host, target.port, timeout=seconds)
        self._target = target
        self._address = address

    def connect(self) -> None:
        """Connect, and encrypt where the scheme says so; the certificate must be that of the name."""
        plain = socket.create_connection((self._address, self._target.port), self.timeout)
        if self._target.scheme == "http":
            self.sock = plain
            return
        try:
            self.sock = _tls().wrap_socket(plain, server_hostname=self._target.host)
        except BaseException:
            plain.close()
            raise


def post(target: Target, addresses: Iterable[str], headers: Mapping[str, str], body: bytes, seconds: float) -> int:
    """Return the HTTP status with which a message was answered; the rest of the answer is not read.

    Raises OSError or http.client.HTTPException where there was no answer in its time.
    """
    ends = time.monotonic() + seconds
    failure: OSError | None = None
    for address in addresses:
        connection = _Connection(target, address, max(0.1, ends - time.monotonic()))
        with closing(connection):
            try:
                connection.connect()
            except OSError as error:  # of a name with several addresses, some may not answer
                failure = error
                continue
            return _exchanged(connection, target, headers, body, ends)
    raise failure or OSError("the name has no address")


def _exchanged(connection: _Connection, target: Target, headers: Mapping[str, str], body: bytes, ends: float) -> int:
    # The timeout of a socket is for one call: an answer that comes in drips would hold the sender for ever.
    watch = threading.Timer(max(0.1, ends - time.monotonic()), _cut, [connection.sock])
    watch.daemon = True
    watch.start()
    try:
        connection.request("POST", target.path, body, {**_FIXED, **headers, "Host": target.host_header})
        return connection.getresponse().status
    finally:
        watch.cancel()


def _cut(connection: socket.socket) -> None:
    with suppress(OSError):
        connection.shutdown(socket.SHUT_RDWR)


@cache
def _tls() -> ssl.SSLContext:
    return ssl.create_default_context()
