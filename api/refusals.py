"""Refusals of a kind that their HTTP status alone does not tell."""

from collections.abc import Iterable
from collections.abc import Mapping
from typing import Any

from werkzeug.exceptions import HTTPException

from sccr.errors import Problem

from .problem_types import PROBLEM_TYPES


class Refusal(HTTPException):
    """A refusal of a named kind of problem, with the headers that go with it, and what is wrong in `errors`."""

    def __init__(
        self, slug: str, detail: str, headers: Mapping[str, str] | None = None, errors: Iterable[Problem] = ()
    ) -> None:
        super().__init__(detail)
        self.errors = tuple(errors)
        self.kind = PROBLEM_TYPES[slug]
        self.code = self.kind.status
        self._headers = dict(headers or {})

    def get_headers(self, environ: Any = None, scope: Any = None) -> list[tuple[str, str]]:
        """Return the headers of the answer."""
        return [*super().get_headers(environ, scope), *self._headers.items()]
