"""A process that works for another: `python -m sccr.many.worker`, started by `processes` and by nobody else.

It is told on its standard input what to do, answers on its standard output, and ends when the other process is gone.
"""

import os
import pickle
import signal
import traceback
from typing import Any

from sccr.many.messages import receive
from sccr.many.messages import send


def main() -> None:
    """Do what is asked until there is nobody who asks."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # whoever started it decides when it ends
    source, sink = os.fdopen(os.dup(0), "rb"), os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)  # what anybody prints must not come between the answers
    try:
        send(sink, None)  # it is ready
        while True:
            send(sink, _answer(receive(source)))
    except (EOFError, BrokenPipeError):
        os._exit(0)  # nothing is to be put in order, and what is buffered has nobody to go to


def _answer(asked: bytes) -> tuple[bool, Any]:
    """Return whether it was done, and what came of it."""
    try:
        function, item = pickle.loads(asked)
        return True, function(item)
    except Exception as error:
        error.add_note(f"In a process that works for this one:\n{traceback.format_exc()}")
        return False, _as_sent(error)


def _as_sent(error: Exception) -> Exception:
    """Return an error as it can be sent: what cannot be pickled, or not again, becomes one that tells of it."""
    try:
        pickle.loads(pickle.dumps(error))
    except Exception:
        return RuntimeError("".join(traceback.format_exception(error)))
    return error


if __name__ == "__main__":
    main()
