"""Answers to documents that are sent again and again: the last ones are kept in each process, up to so many bytes.

An answer is found by the digest of the body as it was sent and by all that the rating was made by: the catalogue, the
engine, its tables, how much of the derivation was asked for. What the catalogue is now is asked of the store for each
request. So none is ever of before, and none has to be thrown away because something has changed.
"""

import threading
from collections import OrderedDict
from dataclasses import dataclass
from hashlib import sha256
from typing import ClassVar
from typing import Final

from flask import Flask
from flask import current_app

from sccr.editions import editions
from sccr.version import ENGINE_VERSION

#: The most that a process keeps [bytes]: some hundred answers of usual size.
MOST: Final = 8 * 2**20
#: The longest answer that is kept [bytes]: one of a large panel must not push out all others.
_LONGEST: Final = MOST // 8
#: What an answer takes beside its content, roughly [bytes].
_BESIDE: Final = 500

Key = tuple[bytes, str, str | None, tuple[str, ...]]
#: Of a rating: its status, whether it covers what is available, and the kinds of what limits it.
Counted = tuple[str, bool | None, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class KeptAnswer:
    """The content of an answer and the tag that names it; what is counted of the ratings that it holds."""

    content: bytes
    tag: str
    counted: tuple[Counted, ...]


class KeptAnswers:
    """The last answers of one application in this process. Threads share it."""

    NAME: ClassVar[str] = "sccr.kept_answers"

    def __init__(self, most: int) -> None:
        self._most = most
        self._lock = threading.Lock()
        self._answers: OrderedDict[Key, KeptAnswer] = OrderedDict()
        self._size = 0

    def find(self, key: Key) -> KeptAnswer | None:
        """Return the answer that is kept under a key, or nothing."""
        with self._lock:
            found = self._answers.get(key)
            if found is not None:
                self._answers.move_to_end(key)
            return found

    def keep(self, key: Key, answer: KeptAnswer) -> None:
        """Keep an answer, and let go of those that were longest not asked for."""
        if len(answer.content) > min(_LONGEST, self._most):
            return
        with self._lock:
            if key not in self._answers:
                self._size += len(answer.content) + _BESIDE
            self._answers[key] = answer
            while self._size > self._most:
                _, gone = self._answers.popitem(last=False)
                self._size -= len(gone.content) + _BESIDE


def keep_answers(app: Flask, most: int = MOST) -> None:
    """Have an application keep its last answers, up to so many bytes."""
    app.extensions[KeptAnswers.NAME] = KeptAnswers(most)


def kept_answers() -> KeptAnswers:
    """Return what this application has kept."""
    found = current_app.extensions[KeptAnswers.NAME]
    assert isinstance(found, KeptAnswers)
    return found


def key_of(body: bytes, extent: str, catalogue_digest: str | None) -> Key:
    """Return under what the answer to a body is kept, by a catalogue of this digest (None: there was none)."""
    engine = (ENGINE_VERSION, *(rules.tables_digest() for rules in editions().values()))
    return sha256(body).digest(), extent, catalogue_digest, engine
