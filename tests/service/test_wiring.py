from __future__ import annotations

from datetime import UTC
from pathlib import Path

import orjson
import pytest

from cds.problems import RuleBookError
from cds.service.wiring import Service, build_service, utc_now
from cds.settings import Settings
from tests.support.optional import ROOT
from tests.support.shipped import demo, shipped_service


def test_the_settings_choose_the_rule_book() -> None:
    base = ROOT / "tests" / "rulebook" / "base"
    small = build_service(Settings(rules=base))
    assert small.digest != shipped_service().digest
    # what is named on the way in goes before the settings
    assert build_service(Settings(rules=ROOT / "rules"), base).digest == small.digest


def test_a_book_that_does_not_pass_makes_no_service(tmp_path: Path) -> None:
    (tmp_path / "x.yaml").write_text("language: 1\nrules: []\nmore: 1\n", encoding="utf-8")
    with pytest.raises(RuleBookError):
        build_service(Settings(rules=tmp_path))


def test_the_use_cases_are_reached() -> None:
    service = shipped_service()
    assert service.advise(demo("first_visit"))["advice"]["detail"] == "compact"
    assert service.advise(demo("first_visit"), full=True)["advice"]["detail"] == "full"
    assert service.check({"case": demo("first_visit")["case"]})["ok"] is True
    assert orjson.loads(service.vocabulary)["edition"]["digest"] == service.digest
    assert orjson.loads(service.rulebook)["edition"]["digest"] == service.digest
    assert service.rule("no-such-rule") is None
    rule = service.rule("cauda-equina-suspected")
    assert rule is not None
    assert orjson.loads(rule)["id"] == "cauda-equina-suspected"


def test_ids_are_new_and_the_clock_is_utc() -> None:
    service = Service(shipped_service().program, shipped_service().decider)
    body = demo("first_visit")
    assert service.advise(body)["id"] != service.advise(body)["id"]
    assert utc_now().tzinfo is UTC
