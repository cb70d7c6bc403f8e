"""The hash, the closed list, and new names that keep clear of collisions."""

from __future__ import annotations

import pytest

from cds.engine.durable_names import RESERVED, Namer, check_names, fnv32


def test_published_values_of_the_hash() -> None:
    # from the FNV reference test vectors, 32-bit FNV-1a
    assert [fnv32(text) for text in ("", "a", "foobar")] == [0x811C9DC5, 0xE40C292C, 0xBF9CF968]


def test_a_pair_of_one_hash_is_refused() -> None:
    assert fnv32("costarring") == fnv32("liquid")
    check_names(["costarring"])
    with pytest.raises(ValueError, match="same hash"):
        check_names(["costarring", "p1", "liquid"])


@pytest.mark.parametrize("name", RESERVED)
def test_reserved_words_are_refused(name: str) -> None:
    with pytest.raises(ValueError, match="reserved"):
        check_names([name])


@pytest.mark.parametrize("name", ["", "A", "a.b", "p-1", "1p", "p" * 40, "é", 'p"'])
def test_only_plain_names_are_legal(name: str) -> None:
    with pytest.raises(ValueError, match="legal"):
        check_names([name])


def test_a_list_may_name_a_fact_twice() -> None:
    check_names(["p1", "p1"])


def test_new_names_differ_and_pass() -> None:
    namer = Namer()
    found = [namer.fresh() for _ in range(5_000)]
    assert len(set(found)) == 5_000
    check_names(found)


def test_new_names_leave_out_a_taken_hash(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("cds.engine.durable_names.fnv32", len)
    monkeypatch.setattr("cds.engine.durable_names.RESERVED", ("abcd",))
    namer = Namer()
    assert [namer.fresh() for _ in range(3)] == ["p0", "p10", "p1000"]
