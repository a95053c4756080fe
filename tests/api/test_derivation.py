"""How much of a derivation is answered: asked for in full, in short or not at all, and nothing else of it changes."""

import json
from typing import Any

import pytest
from flask.testing import FlaskClient

from api.store import Store
from sccr import rate

from .conftest import PANELS
from .prepared import DESIGNATION
from .prepared import ORDER
from .prepared import fill

WHOLE_LINE = next(path for path in PANELS if path.stem == "whole_line").read_bytes()
JSON = {"content_type": "application/json"}
OWN = ("derivation", "derivation_extent")


def rest(result: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in result.items() if name not in OWN}


def test_only_the_derivation_is_shorter(client: FlaskClient) -> None:
    full, short, none = (
        client.post("/v1/ratings", data=WHOLE_LINE, query_string={"derivation": extent}, **JSON)
        for extent in ("full", "short", "none")
    )

    assert full.data == client.post("/v1/ratings", data=WHOLE_LINE, **JSON).data
    assert "derivation_extent" not in full.json
    assert (short.json["derivation_extent"], none.json["derivation_extent"]) == ("short", "none")
    assert rest(full.json) == rest(short.json) == rest(none.json)
    steps = [step for step in full.json["derivation"] if step in short.json["derivation"]]
    assert steps == short.json["derivation"]
    assert 0 == len(none.json["derivation"]) < len(steps) < len(full.json["derivation"])


def test_each_extent_is_another_representation_with_another_tag(client: FlaskClient) -> None:
    tags = {
        extent: client.post(f"/v1/ratings?derivation={extent}", data=WHOLE_LINE, **JSON).headers["ETag"]
        for extent in ("full", "short", "none")
    }

    assert len(set(tags.values())) == 3
    assert tags["full"] == client.post("/v1/ratings", data=WHOLE_LINE, **JSON).headers["ETag"]


@pytest.mark.parametrize("word", ["shrt", "", "FULL", "true"])
def test_another_word_is_refused_before_anything_is_rated(client: FlaskClient, word: str) -> None:
    answer = client.post("/v1/ratings", data=b"no JSON", query_string={"derivation": word}, **JSON)

    assert answer.status_code == 400
    [error] = answer.json["errors"]
    assert (error["pointer"], error["code"]) == ("/query/derivation", "unknown-word")


@pytest.mark.parametrize("extent", ["short", "none"])
def test_a_record_keeps_all_of_it(own: FlaskClient, desk: Store, extent: str) -> None:
    answer = own.post(f"/v1/ratings?record=true&derivation={extent}", data=WHOLE_LINE, **JSON)

    assert answer.json["result"]["derivation_extent"] == extent
    kept = desk.record(answer.json["id"])
    assert kept is not None and kept.intact
    assert "derivation_extent" not in kept.result
    full = own.get(f"/v1/records/{kept.id}")
    assert full.json["result"] == json.loads(json.dumps(kept.result))
    assert (answer.headers["ETag"], full.headers["ETag"]) == (f'"{kept.digest}-{extent}"', f'"{kept.digest}"')


@pytest.mark.parametrize("extent", ["full", "short", "none"])
@pytest.mark.parametrize("place", ["/v1/records/{record}/rating", "/v1/orders/{order}/panels/{panel}/rating"])
def test_a_stored_rating_is_as_a_new_one_would_be(own: FlaskClient, desk: Store, place: str, extent: str) -> None:
    fill(desk)
    stored = own.get(f"/v1/orders/{ORDER}/panels/{DESIGNATION}").json
    address = place.format(record=stored["record"], order=ORDER, panel=DESIGNATION)
    asked = {"derivation": extent}
    answer = own.get(address, query_string=asked)
    fresh = own.post("/v1/ratings", json=stored["document"], query_string=asked)

    assert (answer.data, answer.headers["ETag"]) == (fresh.data, fresh.headers["ETag"])
    again = own.get(address, query_string=asked, headers={"If-None-Match": fresh.headers["ETag"]})
    assert (again.status_code, again.data) == (304, b"")


def test_the_library_says_the_same(client: FlaskClient, catalogue: Any) -> None:
    rating = rate(WHOLE_LINE, catalogue)
    for extent in ("full", "short", "none"):
        answer = client.post(f"/v1/ratings?derivation={extent}", data=WHOLE_LINE, **JSON)
        assert answer.json == json.loads(json.dumps(rating.as_dict(extent)))
