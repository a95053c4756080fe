"""openapi.yaml is what the service does: each example is run, each answer is held against its schema."""

import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
import yaml
from flask.testing import FlaskClient
from openapi_spec_validator import validate
from werkzeug.test import TestResponse

from api import create_app
from api.problem_types import PROBLEM_TYPES
from api.settings import Settings
from sccr import InvalidDocument
from sccr import load_panel
from sccr.iec61439.value import Basis as BasisByIec
from sccr.panel.component import Capacity
from sccr.panel.kinds import kinds
from sccr.panel.voltage import System
from sccr.schema import quantity
from sccr.schema.document import ComponentSchema
from sccr.schema.marking import Marking
from sccr.schema.misread import QuantityError
from sccr.schema.ratings import FUSE_CLASSES
from sccr.schema.ratings import UTILIZATION_CATEGORIES
from sccr.schema.site import values
from sccr.ul508a.value import Basis

from .conftest import PANELS
from .conftest import ROOT
from .conftest import Schemas
from .prepared import prepared_store

CONTRACT: dict[str, Any] = yaml.safe_load((ROOT / "openapi.yaml").read_text("utf-8"))
#: What no request alone can provoke: these are provoked in tests of their own.
FAULTS_OF_THE_SERVICE = {
    *("internal_error", "not_ready"),
    *("forbidden", "request_timeout", "too_many_requests", "busy", "out_of_time"),
    *("idempotency_key_in_use", "store_unavailable", "line_given_up"),
}
#: A request whose answer is a shared problem, provoked in test_webhooks.
ANSWERED_ELSEWHERE = {"target_not_allowed"}
#: What needs a batch, a run or a webhook that is there already: their answers are held in tests of their own.
WITHOUT_EXAMPLE = {
    *("cancelBatch", "getBatch", "getBatchResults"),
    *("cancelImpact", "getImpact", "getImpactResults"),
    *("createWebhook", "deleteWebhook", "getWebhook"),
    *("getDelivery", "retryDelivery"),
}
SCHEMAS: dict[str, Any] = CONTRACT["components"]["schemas"]


@dataclass(frozen=True)
class Example:
    """An answer of the contract and the request that leads to it.

    before: requests that come first. `answer` is None where only the first bytes are told: those of a drawing, a PDF.
    """

    name: str
    status: str | None
    media_type: str
    schema: dict[str, Any]
    request: dict[str, Any] | None
    before: list[dict[str, Any]]
    answer: Any
    begins: bytes

    @property
    def id(self) -> str:
        return f"{self.name}-{self.status or 'shared'}"

    @property
    def is_json(self) -> bool:
        return self.media_type.endswith("json")

    @property
    def is_problem(self) -> bool:
        return self.media_type == "application/problem+json"


def resolved(response: dict[str, Any]) -> dict[str, Any]:
    reference = response.get("$ref")
    if reference is None:
        return response
    assert reference.startswith("#/components/responses/")
    found = CONTRACT["components"]["responses"][reference.rsplit("/", 1)[1]]
    assert isinstance(found, dict)
    return found


def operations() -> Iterator[tuple[str, str, dict[str, Any]]]:
    for path, methods in CONTRACT["paths"].items():
        for method, operation in methods.items():
            if method != "parameters":
                yield path, method.upper(), operation


def examples() -> Iterator[Example]:
    """Yield every example of an answer: those of the operations, and those of the answers that several share."""
    for path, method, operation in operations():
        bodies = dict(bodies_of(operation))
        for status, response in operation["responses"].items():
            if "$ref" not in response:
                yield from examples_of(response, status, {"method": method, "path": path}, bodies)
    for response in CONTRACT["components"]["responses"].values():
        yield from examples_of(response, None, {}, {})


def bodies_of(operation: dict[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    """Yield the name of each example of a body, with what it adds to a request."""
    for media_type, content in operation.get("requestBody", {}).get("content", {}).items():
        for name, example in content.get("examples", {}).items():
            value = example["value"]
            body = value if isinstance(value, str) else json.dumps(value)
            yield name, {"media_type": media_type, "body": body}


def examples_of(
    response: dict[str, Any], status: str | None, place: dict[str, Any], bodies: dict[str, dict[str, Any]]
) -> Iterator[Example]:
    for media_type, content in response.get("content", {}).items():
        for name, example in content.get("examples", {}).items():
            yield Example(
                name=name,
                status=status,
                media_type=media_type,
                schema=content.get("schema", {}),
                request=asked(example.get("x-request"), place, bodies.get(name)),
                before=example.get("x-before", []),
                answer=example.get("value"),
                begins=example.get("x-begins", "").encode("latin-1"),
            )


def asked(stated: dict[str, Any] | None, place: dict[str, Any], body: dict[str, Any] | None) -> dict[str, Any] | None:
    """Return the request of an example: what it states, with the example of a body that has the same name."""
    if body is None:
        return stated
    request = {**place, **(stated or {}), "body": body["body"]}
    return {**request, "headers": {"Content-Type": body["media_type"], **request.get("headers", {})}}


EXAMPLES = list(examples())
RUN = [each for each in EXAMPLES if each.name not in FAULTS_OF_THE_SERVICE]


def send(client: FlaskClient, asked: dict[str, Any]) -> TestResponse:
    headers = dict(asked.get("headers", {}))
    stated = headers.pop("Content-Length", None)
    overrides = {} if stated is None else {"CONTENT_LENGTH": stated}
    data = b" " * asked["bytes"] if "bytes" in asked else asked.get("body")
    return client.open(asked["path"], method=asked["method"], headers=headers, data=data, environ_overrides=overrides)


IDENTIFIER = re.compile(r"[0-9A-HJKMNP-TV-Z]{26}")
#: What is another in each request, or in each version of the engine; `digest` is that of a record, which covers those.
PASSING = {"request_id", "engine_version", "version", "tables_digest", "digest"}


def lasting(value: Any) -> Any:
    """Return an answer without what passes; the id of what is made anew is as good as any other."""
    if isinstance(value, dict):
        return {name: lasting(member) for name, member in value.items() if name not in PASSING}
    if isinstance(value, str):
        return IDENTIFIER.sub("an id", value)
    return [lasting(each) for each in value] if isinstance(value, list) else value


@pytest.fixture
def prepared(tmp_path: Path) -> Iterator[FlaskClient]:
    """A client of a service with an order in its store, always the same one."""
    with closing(prepared_store(tmp_path)) as store:
        yield create_app(Settings(), store).test_client()


def test_the_contract_is_valid_openapi() -> None:
    validate(CONTRACT)


@pytest.mark.parametrize("example", [each for each in EXAMPLES if each.schema], ids=lambda each: each.id)
def test_each_example_is_of_its_schema(schemas: Schemas, example: Example) -> None:
    if example.answer is not None:
        assert schemas.faults_by(example.schema, example.answer) == []


@pytest.mark.parametrize("example", RUN, ids=lambda each: each.id)
def test_each_example_is_what_the_service_answers(schemas: Schemas, prepared: FlaskClient, example: Example) -> None:
    assert example.request is not None, "no request leads to it"
    for earlier in example.before:
        assert send(prepared, earlier).status_code < 300
    response = send(prepared, example.request)
    status = str(example.answer["status"]) if example.is_problem else example.status or "200"
    assert str(response.status_code) == status, response.text
    assert example.status in (status, "default", None)
    assert response.content_type.removesuffix("; charset=utf-8") == example.media_type
    assert response.data.startswith(example.begins)
    if example.is_json:
        answer = json.loads(response.data)
        assert schemas.faults_by(example.schema, answer) == []
        assert lasting(answer) == lasting(example.answer)
    elif example.answer is not None:
        assert response.data.decode() == example.answer
    else:
        assert example.begins, "neither the answer nor its beginning is told"


def test_each_example_of_a_request_has_its_answer() -> None:
    answered = {example.name for example in EXAMPLES}
    for _, _, operation in operations():
        assert dict(bodies_of(operation)).keys() <= answered | ANSWERED_ELSEWHERE
    assert {e.name for e in EXAMPLES if e.request is None} == FAULTS_OF_THE_SERVICE


def test_each_operation_has_an_example_of_what_it_is_for() -> None:
    """The contract itself needs none, nor does what changes with every request; a deletion has no content."""
    without = {
        operation["operationId"]
        for _, _, operation in operations()
        if not any(
            "examples" in content
            for status, response in operation["responses"].items()
            if status.startswith("2")
            for content in resolved(response).get("content", {}).values()
        )
    }
    page = {"readPage", "readPageFile"}
    assert without == {"contractYaml", "contractJson", "readMetrics", "deletePart"} | page | WITHOUT_EXAMPLE


def test_each_type_of_problem_has_an_example_that_says_the_same() -> None:
    shown = {e.answer["type"]: e.answer for e in EXAMPLES if e.is_problem}
    assert shown.keys() == {kind.uri for kind in PROBLEM_TYPES.values()}
    for kind in PROBLEM_TYPES.values():
        assert (shown[kind.uri]["title"], shown[kind.uri]["status"]) == (kind.title, kind.status)


def test_the_wrong_example_is_refused_by_the_schema_too(schemas: Schemas) -> None:
    bodies = CONTRACT["paths"]["/v1/ratings"]["post"]["requestBody"]["content"]["application/json"]["examples"]
    faulty = {name for name, body in bodies.items() if schemas.faults("PanelDocument", body["value"])}
    assert faulty == {"invalid_document"}


@pytest.mark.parametrize("panel", PANELS, ids=lambda path: path.stem)
def test_each_demo_panel_and_its_rating_are_of_their_schemas(
    client: FlaskClient, schemas: Schemas, panel: Path
) -> None:
    document = json.loads(panel.read_bytes())
    assert schemas.faults("PanelDocument", document) == []
    response = client.post("/v1/ratings", json=document)
    assert response.status_code == 200
    assert schemas.faults("Rating", json.loads(response.data)) == []


@pytest.mark.parametrize("path", ["/health/live", "/health/ready", "/v1/editions", "/problems/not-found", "/nowhere"])
def test_other_answers_are_of_their_schemas_too(client: FlaskClient, schemas: Schemas, path: str) -> None:
    names = {"/health/live": "Live", "/health/ready": "Ready", "/v1/editions": "Editions", "/nowhere": "Problem"}
    assert schemas.faults(names.get(path, "ProblemPage"), json.loads(client.get(path).data)) == []


def test_the_contract_and_the_service_have_the_same_routes() -> None:
    automatic = {"HEAD", "OPTIONS"}
    served = {
        (re.sub(r"<(?:\w+:)?(\w+)>", r"{\1}", rule.rule), method)
        for rule in create_app().url_map.iter_rules()
        for method in (rule.methods or set()) - automatic
    }
    assert served == {(path, method) for path, method, _ in operations()}


def test_the_contract_is_served_as_it_is_written(client: FlaskClient) -> None:
    response = client.get("/openapi.yaml")
    assert response.content_type == "application/yaml; charset=utf-8"
    assert response.data == (ROOT / "openapi.yaml").read_bytes()
    assert json.loads(client.get("/openapi.json").data) == CONTRACT


INSTALLED = """
from sccr_api import create_app
client = create_app().test_client()
assert client.get("/openapi.yaml").data == open("openapi.yaml", "rb").read()
assert client.get("/health/ready").status_code == 200
page = client.get("/").text
assert client.get(page.split('<script type="module" src="')[1].split('"')[0]).status_code == 200
"""


def test_the_service_runs_under_the_name_that_the_wheel_gives_it(tmp_path: Path) -> None:
    """Installed, the package is called otherwise and has the contract beside its modules."""
    shutil.copytree(ROOT / "api", tmp_path / "sccr_api", ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(ROOT / "openapi.yaml", tmp_path / "sccr_api")
    shutil.copytree(ROOT / "fixtures", tmp_path / "sccr_api" / "fixtures")
    shutil.copytree(ROOT / "sccr", tmp_path / "sccr", ignore=shutil.ignore_patterns("__pycache__"))
    command = [sys.executable, "-P", "-c", INSTALLED]
    environment = {**os.environ, "PYTHONPATH": str(tmp_path)}
    folder = tmp_path / "sccr_api"
    ended = subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, timeout=60)
    assert ended.returncode == 0, ended.stderr


def test_each_answer_names_its_request() -> None:
    for path, method, operation in operations():
        for status, response in operation["responses"].items():
            assert "X-Request-Id" in resolved(response)["headers"], f"{method} {path} {status}"


class TestTheWordsOfTheContract:
    """What the contract enumerates is what the engine knows; a new kind is a row in a table and a line here."""

    def test_kinds(self) -> None:
        assert SCHEMAS["Kind"]["enum"] == list(kinds())

    def test_systems(self) -> None:
        assert SCHEMAS["System"]["enum"] == [system.value for system in System]

    def test_fuse_classes(self) -> None:
        assert SCHEMAS["FuseClass"]["enum"] == list(FUSE_CLASSES)

    def test_words_of_the_iec_fields(self) -> None:
        assert SCHEMAS["UtilizationCategory"]["enum"] == list(UTILIZATION_CATEGORIES)
        capacity = SCHEMAS["BreakingCapacities"]["items"]["properties"]["kind"]
        assert capacity["enum"] == [kind.value for kind in Capacity]

    def test_fields_of_a_component(self) -> None:
        assert SCHEMAS["Component"]["properties"].keys() == ComponentSchema().load_fields.keys()

    def test_fields_of_a_part(self) -> None:
        marked = Marking().load_fields.keys()
        own = {"description", "price", "stock", "time_delay", "ambient_ratings"}
        assert SCHEMAS["Part"]["properties"].keys() == marked | own

        def taken(of: str, name: str) -> dict[str, Any]:
            return {word: value for word, value in SCHEMAS[of]["properties"][name].items() if word != "description"}

        assert [name for name in marked if taken("Part", name) != taken("Component", name)] == []

    def test_what_values_are_taken_from(self) -> None:
        """`lifted` marks a part in the staircase of next limits, which shows its ratings only."""
        words = {basis.value for each in (Basis, BasisByIec) for basis in each}
        assert set(SCHEMAS["Basis"]["enum"]) == words - {Basis.LIFTED}


def closed(schema: Any) -> Iterator[tuple[Any, bool]]:
    """Yield every object with properties in a schema, and whether it refuses others."""
    if isinstance(schema, dict):
        if schema.get("type") == "object" and "properties" in schema:
            yield list(schema["properties"]), schema.get("additionalProperties") is False
        for member in schema.values():
            yield from closed(member)
    elif isinstance(schema, list):
        for each in schema:
            yield from closed(each)


def test_no_object_takes_fields_that_it_does_not_name() -> None:
    """A misspelt rating must not vanish."""
    assert [properties for properties, refuses in closed(SCHEMAS) if not refuses] == []


READERS = {
    "Current": quantity.current,
    "AmpereRating": quantity.ampere_rating,
    "SystemVoltage": quantity.system_voltage,
    "ApparentPower": quantity.volt_amperes,
    "Power": quantity.power,
    "Percentage": quantity.percent,
    "ClearingI2t": quantity.i2t,
    "Frequency": quantity.frequency,
    "Duration": quantity.duration,
    "FaultLevel": values.level,
    "Temperature": values.temperature,
}
NUMBERS = (
    *("65", "100", "0.5", "1.125", "65.000", "480.500", "0", "0.0", "065", "65.", ".5", "-5", "+5"),
    *("1e3", "65,000", "65 000", "nan", "inf", "٥", ""),
)
UNITS = (
    *("kA", "A", "mA", "ka", "KA", "MA", "V", "kV", "v", "VA", "kVA", "MVA", "hp", "HP", "kW", "W", "%"),
    *("kA²s", "A²s", "A2s", "A²·s", "A2", "Hz", "kHz", "hz", "ft", ""),
    *("°C", "C", "°F"),
    *("s", "ms", "S", "min", "µs"),
)
SPACES = ("", " ", "  ", "\u00a0")
SLASHED = ("480Y/277 V", "240/120 V", "480Y/277V", "0.48Y/0.277 kV", "480Y / 277 V", "480y/277 V", "480/277/120 V")
#: Around the longest that is meant by a duration, and a wye's voltage with the lower one first.
OTHERS = tuple(
    f"{number}{unit}"
    for number in ("5", "5.000", "5.001", "999.9", "4999.5", "5000", "5000.0", "5001", "10000")
    for unit in ("s", "ms", " s", " ms")
)
OTHERS += ("230/400 V", "347/600V", "0.23/0.4 kV", "230/400")


@pytest.mark.parametrize("name", READERS)
def test_a_quantity_is_of_the_schema_exactly_where_the_service_reads_it(schemas: Schemas, name: str) -> None:
    written = [f"{number}{space}{unit}" for number in NUMBERS for space in SPACES for unit in UNITS]
    written += [*SLASHED, *OTHERS]
    differing = [text for text in written if reads(name, text) is bool(schemas.faults(name, text))]
    assert differing == []
    assert all(reads(name, text) for text in SCHEMAS[name]["examples"])


def reads(name: str, text: str) -> bool:
    try:
        READERS[name](text)
    except QuantityError:
        return False
    return True


MISTAKES: dict[str, dict[str, Any]] = {
    "a misspelt field": {"horse_power": "5 hp"},
    "a bare number": {"ampere_rating": 30},
    "a wrong unit": {"ampere_rating": "30 V"},
    "an unknown kind": {"kind": "contacter"},
    "poles as text": {"poles": "3"},
    "five poles": {"poles": 5},
    "no part of a pole": {"poles": 2.5},
    "a flag in words": {"self_protected": "yes"},
    "null": {"mounting": None},
    "an empty list of sources": {"fed_from": []},
    "a source twice": {"fed_from": ["MAINS", "MAINS"]},
    "two phases": {"phases": 2},
    "a rating without its voltage": {"short_circuit_ratings": [{"current": "5 kA"}]},
    "a fuse without its classes": {
        "short_circuit_ratings": [
            {"voltage": "480 V", "current": "5 kA", "protected_by": {"device": "fuse", "max_ampere_rating": "30 A"}}
        ]
    },
    "a breaker without anything": {
        "short_circuit_ratings": [
            {"voltage": "480 V", "current": "5 kA", "protected_by": {"device": "circuit_breaker"}}
        ]
    },
    "a breaking capacity of no kind": {"breaking_capacities": [{"voltage": "400 V", "current": "5 kA"}]},
    "a conditional rating without its device": {"conditional_ratings": [{"voltage": "400 V", "current": "5 kA"}]},
    "a coordination of type 3": {
        "conditional_ratings": [
            {
                "voltage": "400 V",
                "current": "5 kA",
                "protected_by": {"device": "circuit_breaker", "max_ampere_rating": "30 A"},
                "coordination": 3,
            }
        ]
    },
    "a breaker with a utilization category": {
        "conditional_ratings": [
            {
                "voltage": "400 V",
                "current": "5 kA",
                "protected_by": {"device": "circuit_breaker", "utilization_categories": ["gG"]},
            }
        ]
    },
    "a short-time rating without its duration": {"short_time_ratings": [{"current": "5 kA"}]},
    "a short-time rating of six seconds": {"short_time_ratings": [{"current": "5 kA", "duration": "6 s"}]},
    "an exemption without its reason": {"exempt": {"reference": "drawing 4"}},
    "an id with a space at its end": {"id": "-QA1 "},
    "an id that is too long": {"id": "Q" * 65},
    "a transformer on direct current": {"transformer": {"secondary_system": "dc", "secondary": "120 V"}},
}


@pytest.mark.parametrize(
    "members",
    [
        {"editions": []},
        {"editions": ["UL 508A:2018"] * 2},
        {"editions": [f"edition {number}" for number in range(6)]},
        {"editions": ["UL 508A:2018"], "edition": "UL 508A:2018"},
        {"editions": "UL 508A:2018"},
        {"options": {"coordination": 3}},
        {"options": {"service_breaking_capacity": "yes"}},
    ],
    ids=str,
)
def test_a_mistake_in_editions_or_options_is_refused_alike(
    schemas: Schemas, starter: dict[str, Any], members: dict[str, Any]
) -> None:
    assert schemas.faults("PanelDocument", {**starter, "editions": ["UL 508A:2018", "UL 508A:2013"]}) == []
    starter.update(members)
    assert schemas.faults("PanelDocument", starter)
    with pytest.raises(InvalidDocument):
        load_panel(starter)


@pytest.mark.parametrize("name", MISTAKES)
def test_a_mistake_is_refused_by_schema_and_service_alike(schemas: Schemas, starter: dict[str, Any], name: str) -> None:
    load_panel(starter)
    starter["components"][1].update(MISTAKES[name])
    assert schemas.faults("PanelDocument", starter)
    with pytest.raises(InvalidDocument):
        load_panel(starter)
