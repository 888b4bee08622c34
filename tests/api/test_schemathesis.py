"""Requests made up from the description itself: none may give a 500, and every answer conforms."""

from pathlib import Path
from typing import Any

import pytest
import schemathesis
from flask import Flask
from hypothesis import HealthCheck, given, settings
from schemathesis import GenerationMode
from schemathesis.config import SchemathesisConfig

from service import create_app
from service.records.database import Database
from service.settings import Settings
from tests.conftest import ONE_DATABASE, Caller

CONFIG = SchemathesisConfig.from_dict(
    {
        "checks": {
            "ignored_auth": {"enabled": False},  # who may do what is tried in test_tokens.py
            # What fits the description may still be refused: a unit, a thread, a version, a rule.
            "positive_data_acceptance": {
                "expected-statuses": ["2xx", 400, 404, 409, 412, 415, 422]
            },
            "missing_required_header": {"expected-statuses": [400, 404, 415, 422, 428]},
            # Wrong data for a record that is not there, or without a version, is refused for that.
            "negative_data_rejection": {
                "expected-statuses": [400, 401, 403, 404, 409, 412, 413, 415, 422, 428]
            },
        }
    }
)
SCHEMA = schemathesis.openapi.from_wsgi(
    "/api/v1/openapi.json",
    create_app(Settings(data=Path("nowhere")), Database("sqlite://")),
    config=CONFIG,
)
OPERATIONS = {result.ok().label: result.ok() for result in SCHEMA.get_all_operations()}
CALCULATIONS = [label for label in OPERATIONS if "/calculations" in label]
RECORDS = [label for label in OPERATIONS if label not in CALCULATIONS]
EXAMPLES_EACH = 8


@pytest.mark.parametrize("mode", list(GenerationMode))
@pytest.mark.parametrize("label", RECORDS)
def test_no_request_that_can_be_made_up_breaks_the_service(
    app: Flask, owner: Caller, one_of_each: dict[str, int], label: str, mode: GenerationMode
) -> None:
    send_what_can_be_made_up(app, owner, one_of_each, OPERATIONS[label], mode)


@ONE_DATABASE
@pytest.mark.parametrize("mode", list(GenerationMode))
@pytest.mark.parametrize("label", CALCULATIONS)
def test_no_question_that_can_be_made_up_breaks_a_calculation(
    app: Flask, owner: Caller, label: str, mode: GenerationMode
) -> None:
    send_what_can_be_made_up(app, owner, {}, OPERATIONS[label], mode)


def send_what_can_be_made_up(
    app: Flask, owner: Caller, one_of_each: dict[str, int], operation: Any, mode: GenerationMode
) -> None:

    @settings(
        max_examples=EXAMPLES_EACH,
        derandomize=True,
        database=None,
        deadline=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(case=operation.as_strategy(generation_mode=mode))
    def send(case: Any) -> None:
        if case.path_parameters and mode is GenerationMode.POSITIVE:
            case.path_parameters = {name: one_of_each[name] for name in case.path_parameters}
        headers = {"Authorization": f"Bearer {owner.token}"}
        if mode is GenerationMode.POSITIVE and "If-Match" in (case.headers or {}):
            headers["If-Match"] = '"1"'
        response = case.call(app=app, headers=headers)
        assert response.status_code < 500, response.text
        case.validate_response(response)

    send()
