"""Generated requests to every operation, judged by the published contract.

First the contract as published, every operation, the systematic phase included. Then the operations
about a case with the edition's own case schema in its place, so that generated cases use its words;
random only, since a systematic walk through that schema makes tens of thousands of requests.

`positive_data_acceptance` is off: the schemas take more than the reader (the words of the edition,
the order of two dates), as they say themselves.
"""

from __future__ import annotations

import io
import json
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, settings
from schemathesis.checks import CHECKS, FailureGroup, load_all_checks
from schemathesis.config import SchemathesisConfig

from cds.api.app import create_app
from cds.api.openapi import document_bytes
from cds.service.log import new_log
from cds.service.wiring import Service
from tests.support.schemas import edition_document
from tests.support.shipped import shipped_service

load_all_checks()
CHOSEN = CHECKS.get_by_names(
    [name for name in CHECKS.get_all_names() if name != "positive_data_acceptance"]
)
QUIET = [HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large]
RANDOM_ONLY = {"phases": {"coverage": {"enabled": False}}}


def contract(
    document: dict[str, Any], config: dict[str, Any], service: Service | None = None
) -> schemathesis.BaseSchema:
    schema = schemathesis.openapi.from_dict(document, config=SchemathesisConfig.from_dict(config))
    schema.app = create_app(service or shipped_service(), log=new_log("error", io.StringIO()))
    return schema


PUBLISHED = contract(json.loads(document_bytes()), {})
EDITION = contract(edition_document(), RANDOM_ONLY).include(method="POST")


@PUBLISHED.parametrize()
@settings(max_examples=8, suppress_health_check=QUIET)
def test_the_contract_as_published(case: schemathesis.Case) -> None:
    case.call_and_validate(checks=CHOSEN)


@EDITION.parametrize()
@settings(max_examples=20, suppress_health_check=QUIET)
def test_cases_of_the_edition(case: schemathesis.Case) -> None:
    case.call_and_validate(checks=CHOSEN)


class Wrong(Service):
    """A service whose answers are not what the contract says."""

    def check(self, body: object) -> Any:
        return {**super().check(body), "more": 1}

    def advise(self, body: object, *, full: bool = False) -> Any:
        raise RuntimeError


@pytest.mark.parametrize("path", ["/v1/cases/check", "/v1/advice"])
def test_an_answer_outside_the_contract_is_seen(path: str) -> None:
    shipped = shipped_service()
    body = {"case": {"as_of": "2026-11-20", "moment": "contact"}}

    def send(service: Service) -> None:
        schema = contract(json.loads(document_bytes()), {}, service)
        case = schema[path]["POST"].Case(body=body, media_type="application/json")
        case.call_and_validate(checks=CHOSEN)

    send(shipped)
    with pytest.raises(FailureGroup):
        send(Wrong(shipped.program, shipped.decider))


@pytest.mark.long
@PUBLISHED.parametrize()
@settings(max_examples=60, suppress_health_check=QUIET)
def test_the_contract_for_long(case: schemathesis.Case) -> None:
    case.call_and_validate(checks=CHOSEN)


@pytest.mark.long
@EDITION.parametrize()
@settings(max_examples=80, suppress_health_check=QUIET)
def test_cases_of_the_edition_for_long(case: schemathesis.Case) -> None:
    case.call_and_validate(checks=CHOSEN)
