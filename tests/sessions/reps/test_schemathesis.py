"""Schemathesis against the events API, from its own OpenAPI text: no server error, whatever is sent."""

from collections.abc import Iterator
from typing import Any

import pytest
import schemathesis
from django.core.signals import request_finished, request_started
from django.db import close_old_connections
from django.test import Client
from drf_spectacular.generators import SchemaGenerator
from hypothesis import HealthCheck, given, settings
from schemathesis import GenerationMode
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import response_schema_conformance

from club.wsgi import application
from sessions.reps.models import Event
from tests.sessions.reps.ground import Ground

PATH = "/api/v1/clubs/{club}/practices/{practice}/events/"


def openapi() -> dict[str, Any]:
    found: dict[str, Any] = SchemaGenerator().get_schema(request=None, public=True)
    return {**found, "paths": {PATH: found["paths"][PATH]}}


@pytest.fixture(autouse=True)
def one_connection() -> Iterator[None]:
    """As Django's own test client does: the end of a request leaves the test's database connection open."""
    for signal in (request_started, request_finished):
        signal.disconnect(close_old_connections)
    yield
    for signal in (request_started, request_finished):
        signal.connect(close_old_connections)


@pytest.fixture
def cookies(ground: Ground) -> Iterator[dict[str, str]]:
    client = Client()
    client.force_login(ground.cast.assistant.person)
    token = "x" * 32
    yield {"sessionid": client.cookies["sessionid"].value, "csrftoken": token}


def test_the_openapi_text_describes_request_and_answer(ground: Ground) -> None:
    text = openapi()
    post = text["paths"][PATH]["post"]
    schemas = text["components"]["schemas"]
    body = post["requestBody"]["content"]["application/json"]["schema"]["$ref"].rsplit("/", 1)[1]
    items = schemas[body]["properties"]["events"]
    assert items["type"] == "array"
    mapping = schemas[items["items"]["$ref"].rsplit("/", 1)[1]]["discriminator"]["mapping"]
    assert sorted(mapping) == sorted(Event.Kind.values)
    assert set(post["responses"]) == {"200", "400", "403", "404", "409", "413"}


@pytest.mark.parametrize(
    ("place", "mode", "expected"),
    [
        ("here", GenerationMode.POSITIVE, {200}),
        ("here", GenerationMode.NEGATIVE, {400}),
        ("anywhere", GenerationMode.POSITIVE, {404}),
    ],
)
def test_no_input_is_a_server_error(
    ground: Ground, cookies: dict[str, str], place: str, mode: GenerationMode, expected: set[int]
) -> None:
    schema = schemathesis.openapi.from_dict(openapi())
    schema.app = application
    operation = schema[PATH]["POST"]
    here = {"club": ground.cast.club.slug, "practice": str(ground.practice.pk)}
    answered: set[int] = set()

    @settings(max_examples=60, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
    @given(case=operation.as_strategy(generation_mode=mode))
    def call(case: Any) -> None:
        if place == "here":
            case.path_parameters = here
        response = case.call(cookies=cookies, headers={"X-CSRFToken": cookies["csrftoken"]})
        answered.add(response.status_code)
        case.validate_response(response, checks=[not_a_server_error, response_schema_conformance])

    call()
    assert answered >= expected, answered
