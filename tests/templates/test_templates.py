"""Every template compiles, has a title, and holds nothing that the browser's policy forbids."""

import re
from pathlib import Path

import pytest
from jinja2 import Environment, nodes

from app.settings import PROJECT_ROOT
from app.web.assets import TYPES
from app.web.render import make_environment

FOLDER = PROJECT_ROOT / "templates"
FILES = sorted(path for path in FOLDER.rglob("*") if path.is_file())
TEMPLATES = [path.relative_to(FOLDER).as_posix() for path in FILES]
# README's pictures lie in the folder too; they are no text and are not sent out.
_OWN = (PROJECT_ROOT / "static").rglob("*.*")
STATIC = sorted(p for p in _OWN if p.suffix in TYPES and p.is_file())

FORBIDDEN = {
    "an inline style": r"\sstyle\s*=",
    "a style element": r"<style",
    "an inline script": r'<script(?![^>]*(\ssrc=|\stype="application/json"))',
    "a handler in an attribute": r"\son[a-z]+\s*=",
    "hx-on": r"hx-on",
    "hx-vals by script": r"hx-vals\s*=\s*[\"']\s*js:|js:|javascript:",
    "a trigger filter": r"hx-trigger\s*=\s*\"[^\"]*\[",
    "text taken as safe": r"\|\s*safe\b|Markup",
    "autoescape switched off": r"autoescape",
    "a host": r"(?:https?:)?//[a-z0-9-]+\.[a-z]",
    "a placeholder as a hint": r"\splaceholder\s*=",
    "a number box that the wheel changes": r"type=\"number\"",
}


@pytest.fixture(scope="module")
def environment() -> Environment:
    return make_environment(FOLDER, str)


def offences(text: str) -> list[str]:
    """What in a template the rules forbid; Jinja's own comments do not count."""
    text = re.sub(r"{#.*?#}", "", text, flags=re.DOTALL)
    return [what for what, pattern in FORBIDDEN.items() if re.search(pattern, text, re.IGNORECASE)]


def test_there_are_only_html_files() -> None:
    assert {path.suffix for path in FILES} == {".html"}


@pytest.mark.parametrize("name", TEMPLATES)
def test_it_compiles_and_keeps_the_rules(environment: Environment, name: str) -> None:
    environment.get_template(name)
    assert offences((FOLDER / name).read_text()) == []


@pytest.mark.parametrize("name", [name for name in TEMPLATES if name.startswith(("pages", "err"))])
def test_a_page_stands_in_the_frame_and_has_a_title_and_a_heading(
    environment: Environment, name: str
) -> None:
    source = (FOLDER / name).read_text()
    parsed = environment.parse(source)
    (frame,) = parsed.find_all(nodes.Extends)
    assert isinstance(frame.template, nodes.Const)
    assert frame.template.value == "base.html"
    blocks = {block.name: block for block in parsed.find_all(nodes.Block)}
    assert {"title", "main"} <= set(blocks)
    assert source.count("<h1") == 1


@pytest.mark.parametrize("name", [name for name in TEMPLATES if "macros/" not in name])
def test_macros_are_imported_without_context(environment: Environment, name: str) -> None:
    for imported in environment.parse((FOLDER / name).read_text()).find_all(nodes.Import):
        assert not imported.with_context


@pytest.mark.parametrize("path", STATIC, ids=lambda path: path.name)
def test_our_own_files_ask_no_other_host(path: Path) -> None:
    text = path.read_text().replace('xmlns="http://www.w3.org/2000/svg"', "")
    assert not re.search(r"https?://|@import|url\(", text)


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ('<p style="width:3%">', "an inline style"),
        ("<script>x()</script>", "an inline script"),
        ('<script type="module">x()</script>', "an inline script"),
        ('<b onclick="x()">', "a handler in an attribute"),
        ('<b hx-on:click="x()">', "hx-on"),
        ('<b hx-trigger="click[x]">', "a trigger filter"),
        ("{{ x|safe }}", "text taken as safe"),
        ("{{ x | safe }}", "text taken as safe"),
        ('<img src="//cdn.example/x.png">', "a host"),
        ('<a href="https://example.org">', "a host"),
    ],
)
def test_the_rules_catch_what_they_are_for(text: str, what: str) -> None:
    assert what in offences(text)


@pytest.mark.parametrize(
    "text",
    [
        '<script type="application/json">{}</script>',
        '<script defer src="/static/js/app.js"></script>',
        '<form hx-trigger="submit, input delay:400ms">',
        "{# style= #}",
    ],
)
def test_the_rules_let_pass_what_is_meant(text: str) -> None:
    assert offences(text) == []
