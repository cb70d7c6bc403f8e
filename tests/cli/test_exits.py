from __future__ import annotations

from cds.cli import exits


def test_the_table_has_every_code_once() -> None:
    codes = {value for name, value in vars(exits).items() if name.isupper() and name != "TABLE"}
    assert [code for code, _ in exits.TABLE] == sorted(codes)
    assert len(codes) == len(exits.TABLE)
    assert all(meaning for _, meaning in exits.TABLE)
