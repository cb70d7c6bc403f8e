from __future__ import annotations

from cds.api.contract import problems, read, write
from cds.api.errors import PROBLEM_JSON, TYPES


def test_every_type_of_problem_can_be_documented() -> None:
    found = problems(*TYPES)
    assert set(found) == {str(kind.status) for kind in TYPES.values()}
    for kind in TYPES.values():
        assert kind.uri in found[str(kind.status)]["description"]
        assert list(found[str(kind.status)]["content"]) == [PROBLEM_JSON]
    assert "Allow" in found["405"]["headers"]


def test_a_read_has_a_twin_without_bodies() -> None:
    found = read("x", "X.", {"type": "object"}, tagged=True, refused=["not-found"])
    assert set(found) == {"get", "head"}
    assert found["get"]["responses"].keys() == found["head"]["responses"].keys()
    assert {"200", "304", "400", "404", "500"} == set(found["get"]["responses"])
    assert "content" in found["get"]["responses"]["200"]
    assert not [r for r in found["head"]["responses"].values() if "content" in r]
    assert found["get"]["operationId"] != found["head"]["operationId"]


def test_only_a_tagged_read_knows_tags() -> None:
    plain = read("x", "X.", {})["get"]
    assert "304" not in plain["responses"]
    assert plain["parameters"] == []


def test_an_operation_about_a_case_names_all_its_refusals() -> None:
    found = write("x", "X.", "D.", {}, {}, {})["post"]
    assert {"200", "400", "413", "415", "422", "500", "503"} == set(found["responses"])
    assert found["requestBody"]["required"] is True
    headers = found["responses"]["200"]["headers"]
    assert headers["Cache-Control"]["schema"] == {"const": "no-store"}
