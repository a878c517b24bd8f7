"""The forms of a page as a browser would send them untouched, and the form classes that a request met."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any

from django import forms


@dataclass(kw_only=True)
class PageForm:
    """`held` is what stands in its fields; `offered` all values of tiles, lists and buttons."""

    page: str
    action: str
    method: str
    held: dict[str, list[str]] = field(default_factory=dict)
    offered: dict[str, list[str]] = field(default_factory=dict)

    @property
    def names(self) -> list[str]:
        return list(dict.fromkeys([*self.held, *self.offered]))


class _Reader(HTMLParser):
    def __init__(self, page: str) -> None:
        super().__init__()
        self.page, self.forms, self.links = page, [], []
        self._by_id: dict[str, PageForm] = {}
        self._open: PageForm | None = None
        self._list: tuple[PageForm, str] | None = None
        self._text: tuple[PageForm, str] | None = None

    forms: list[PageForm]
    links: list[str]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        has = {name: value or "" for name, value in attrs}
        if tag == "a" and has.get("href"):
            self.links.append(has["href"])
        if tag == "form":
            action, method = has.get("action") or self.page, has.get("method", "get").lower()
            self._open = self._by_id.setdefault(
                has.get("id", f"form {len(self._by_id)}"),
                PageForm(page=self.page, action=action, method=method),
            )
            self._open.action, self._open.method = action, method
            if self._open not in self.forms:
                self.forms.append(self._open)
        owner = self._owner(has)
        if tag == "option" and self._list:
            owner, name = self._list
            owner.offered.setdefault(name, []).append(has.get("value", ""))
            if "selected" in has:
                owner.held[name] = [has.get("value", "")]
        elif owner and (name := has.get("name", "")) and "disabled" not in has:
            self._field(tag, owner, name, has)

    def _owner(self, has: dict[str, str]) -> PageForm | None:
        if asked := has.get("form"):
            return self._by_id.setdefault(asked, PageForm(page=self.page, action=self.page, method="get"))
        return self._open

    def _field(self, tag: str, owner: PageForm, name: str, has: dict[str, str]) -> None:
        kind, value = has.get("type", "text"), has.get("value", "")
        if tag == "select":
            self._list = (owner, name)
            owner.held.setdefault(name, [""])
        elif tag == "textarea":
            self._text = (owner, name)
            owner.held[name] = [""]
        elif tag == "button" or (tag == "input" and kind in ("radio", "checkbox", "submit")):
            owner.offered.setdefault(name, []).append(has.get("value", "on"))
            if "checked" in has:
                owner.held.setdefault(name, []).append(has.get("value", "on"))
        elif tag == "input":
            owner.held.setdefault(name, []).append(value)

    def handle_data(self, data: str) -> None:
        if self._text:
            owner, name = self._text
            owner.held[name] = [owner.held[name][0] + data]

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._open = None
        elif tag == "select":
            self._list = None
        elif tag == "textarea":
            self._text = None


def read(page: str, html: str) -> tuple[list[PageForm], list[str]]:
    """Its forms and its links."""
    reader = _Reader(page)
    reader.feed(html)
    return reader.forms, reader.links


@dataclass
class Met:
    """What became of the form classes in one request."""

    made: list[forms.BaseForm] = field(default_factory=list)
    asked: list[tuple[forms.BaseForm, bool]] = field(default_factory=list)

    def clear(self) -> None:
        self.made.clear()
        self.asked.clear()

    @property
    def fields(self) -> dict[str, forms.Field]:
        return {each.add_prefix(name): one for each in self.made for name, one in each.fields.items()}

    @property
    def refused(self) -> bool:
        """A form that was asked has something against it, by itself or by the book."""
        return any(each.errors for each, _ in self.asked)


@contextmanager
def watched() -> Iterator[Met]:
    """While it is open, every form class of the program tells when it is made and asked."""
    met, init, is_valid = Met(), forms.BaseForm.__init__, forms.BaseForm.is_valid

    def told_init(self: forms.BaseForm, *args: Any, **kwargs: Any) -> None:
        init(self, *args, **kwargs)
        met.made.append(self)

    def told_is_valid(self: forms.BaseForm) -> bool:
        valid = is_valid(self)
        met.asked.append((self, valid))
        return valid

    forms.BaseForm.__init__, forms.BaseForm.is_valid = told_init, told_is_valid  # type: ignore[method-assign]
    try:
        yield met
    finally:
        forms.BaseForm.__init__, forms.BaseForm.is_valid = init, is_valid  # type: ignore[method-assign]
