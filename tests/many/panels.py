"""Panels that can be told from each other, and what is to become of them."""

import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import sccr
from sccr.many import Outcome

FIXTURES = Path(__file__).parents[2] / "fixtures"
PANELS = sorted((FIXTURES / "panels").glob("*.json"))
CATALOGUE = (FIXTURES / "catalogue/grain.json").read_bytes()


def documents(count: int) -> list[dict[str, Any]]:
    """The demo panels again and again, each under a designation of its own."""
    demo = [json.loads(path.read_bytes()) for path in PANELS]
    return [_named(demo[number % len(demo)], f"P-{number + 1}") for number in range(count)]


def lines(count: int) -> list[bytes]:
    return [json.dumps(document).encode() for document in documents(count)]


def _named(document: dict[str, Any], designation: str) -> dict[str, Any]:
    return {**document, "panel": {**document["panel"], "designation": designation}}


def as_rated(documents: Iterable[Any], catalogue: sccr.Catalogue | None = None) -> list[tuple[int, str, bytes]]:
    """What is to become of right documents: each rated alone, as JSON with sorted names."""
    ratings = [sccr.rate(document, catalogue) for document in documents]
    return [(line, rating.status, as_text(rating.as_dict())) for line, rating in enumerate(ratings, 1)]


def as_text(result: dict[str, Any]) -> bytes:
    return json.dumps(result, ensure_ascii=False, sort_keys=True, separators=(",", ":")).encode()


def as_told(outcomes: Iterable[Outcome]) -> list[tuple[int, str, bytes | None]]:
    return [(outcome.line, outcome.status, outcome.text) for outcome in outcomes]
