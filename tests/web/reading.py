"""What a page says, read without a browser: its words, its hidden fields, its buttons."""

from __future__ import annotations

from collections.abc import Mapping
from html.parser import HTMLParser

from starlette.testclient import TestClient

VOID = {"input", "meta", "link", "br", "path", "circle", "img"}


class Read(HTMLParser):
    """The words of a page, its fields by form, where its buttons lead, the texts of its areas."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.words: list[str] = []
        self.hidden: list[dict[str, str]] = []
        self.inputs: list[dict[str, str]] = []
        self.buttons: list[str] = []
        self.areas: dict[str, str] = {}
        self._area: str | None = None
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.hidden.append({})
        if tag == "input" and found.get("type") == "hidden":
            self.hidden[-1][found["name"]] = found["value"]
        elif tag == "input":
            self.inputs.append({**found, "checked": "yes" if "checked" in found else ""})
        if tag == "button":
            self.buttons.append(found.get("formaction", ""))
        if tag == "textarea":
            self._area = found.get("id", found.get("name", ""))
            self.areas[self._area] = ""

    def handle_endtag(self, tag: str) -> None:
        if tag == "textarea":
            self._area = None

    def handle_data(self, data: str) -> None:
        if self._area is not None:
            self.areas[self._area] += data
        elif data.strip():
            self.words.append(" ".join(data.split()))

    @property
    def text(self) -> str:
        return " ".join(self.words)

    def area(self, name: str) -> str:
        """The text of a field; a first line break belongs to the markup."""
        return self.areas[name].removeprefix("\n")


def post(client: TestClient, path: str, fields: Mapping[str, str], status: int = 200) -> Read:
    """The page that these fields get, which nobody may store."""
    answer = client.post(path, data=dict(fields))
    assert answer.status_code == status, answer.text
    assert answer.headers["cache-control"] == "no-store"
    assert answer.headers["content-type"] == "text/html; charset=utf-8"
    return Read(answer.text)
