"""A page's form as a browser without script reads it: names with what stands in the boxes."""

import re
from html.parser import HTMLParser


class Boxes(HTMLParser):
    """Reads the boxes of every form that posts to one address."""

    def __init__(self, action: str) -> None:
        super().__init__()
        self.action = action
        self.found: dict[str, str] = {}
        self._inside = False
        self._select = ""
        self._area = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        has = dict(attrs)
        name, value = has.get("name") or "", has.get("value") or ""
        if tag == "form":
            self._inside = has.get("action") == self.action
        elif not self._inside:
            return
        elif tag == "input":
            if has.get("type") not in ("radio", "checkbox") or "checked" in has:
                self.found[name] = value
        elif tag == "textarea":
            self._area = name
            self.found[name] = ""
        elif tag == "select":
            self._select = name
        elif tag == "option" and ("selected" in has or self._select not in self.found):
            self.found[self._select] = value  # a browser sends the first where none is selected

    def handle_data(self, data: str) -> None:
        if self._area:
            # A line end right after the tag is not part of the text.
            first = not self.found[self._area]
            self.found[self._area] += data.removeprefix("\n") if first else data

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._inside = False
        elif tag == "textarea":
            self._area = ""
        elif tag == "select":
            self._select = ""


def boxes(html: str, action: str) -> dict[str, str]:
    """What stands in the boxes of a page's form."""
    reader = Boxes(action)
    reader.feed(html)
    assert reader.found, f"no form that posts to {action}"
    return reader.found


def title(html: str) -> str:
    """The page's title."""
    found = re.search(r"<title>(.*?)</title>", html, re.DOTALL)
    assert found is not None
    return found[1]
