"""What two processes send each other: pickles, each with its length before it."""

import pickle
from typing import IO
from typing import Any
from typing import Final

_LENGTH: Final = 8


def send(stream: IO[bytes], message: Any) -> None:
    """Send a message. Raises BrokenPipeError where nobody is there to take it."""
    packed = pickle.dumps(message, pickle.HIGHEST_PROTOCOL)
    stream.write(len(packed).to_bytes(_LENGTH, "big"))
    stream.write(packed)
    stream.flush()


def receive(stream: IO[bytes]) -> bytes:
    """Return the next message, still packed. Raises EOFError where the other side is gone, before it or within it."""
    length = int.from_bytes(_all_of(stream, _LENGTH), "big")
    return _all_of(stream, length)


def _all_of(stream: IO[bytes], length: int) -> bytes:
    packed = stream.read(length)
    if len(packed) < length:
        raise EOFError
    return packed
