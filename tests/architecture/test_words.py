"""Words and paths that must not be in the tree: unfinished work, this machine, outside hosts."""

import re

import pytest

from tests.architecture.tree import ROOT, project_files

TEXT = (".py", ".html", ".css", ".js", ".md", ".toml", ".txt", ".json", ".csv", ".svg", ".mako")
THIS_FILE = ROOT / "tests/architecture/test_words.py"


def spelled(*parts: str) -> str:
    """A word put together, so that this file does not hold it."""
    return "".join(parts)


ANYWHERE = {
    "unfinished work": re.compile(
        r"\b(" + "|".join([spelled("TO", "DO"), spelled("FIX", "ME"), spelled("X", "XX"),
                           spelled("NotImplemented", "Error")]) + r")\b"),
    "a test that cannot fail": re.compile(spelled("assert ", r"True\b")),
    "code hidden from the count": re.compile(spelled("pragma: ", "no cover")),
    "a path of one machine": re.compile(
        r"(?<![\w./])/(" + "|".join(["ro" + "ot", "ho" + "me", "Us" + "ers", "wo" + "rk"])
        + r")/\w"),
}
IN_PAGES = {
    "a host outside": re.compile(r"""(?:src|href|action)\s*=\s*["']?(?:https?:)?//""", re.I),
    "a style attribute": re.compile(r"<[^>]*\sstyle\s*=", re.I),
    "a script in the page": re.compile(
        r"<script(?![^>]*\bsrc=)(?![^>]*type=\"application/json\")", re.I),
    "an attribute that runs script": re.compile(r"\s(?:hx-on|on(?:click|load|error|submit))\b"),
    "text taken as safe": re.compile(r"\|\s*safe\b"),
    "a trigger filter": re.compile(r"""hx-trigger\s*=\s*["'][^"']*\[|["']js:"""),
}
IN_STYLES = {"a host outside": re.compile(r"(?:url\(\s*[\"']?|@import\s+[\"'])(?:https?:)?//")}


def hits(pattern, files):
    found = []
    for path in files:
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
            if pattern.search(line):
                found.append(f"{path.relative_to(ROOT)}:{number}: {line.strip()[:80]}")
    return found


@pytest.mark.parametrize("what", ANYWHERE)
def test_no_file_holds(what):
    assert hits(ANYWHERE[what], project_files(*TEXT)) == []


@pytest.mark.parametrize("what", IN_PAGES)
def test_no_page_holds(what):
    pages = [p for p in project_files(".html") if p.is_relative_to(ROOT / "templates")]
    assert pages
    assert hits(IN_PAGES[what], pages) == []


def test_no_style_sheet_or_script_reaches_outside():
    files = [p for p in project_files(".css", ".js") if p.is_relative_to(ROOT / "static")]
    assert files
    assert hits(IN_STYLES["a host outside"], files) == []


@pytest.mark.parametrize(
    ("patterns", "what", "line"),
    [
        (ANYWHERE, "unfinished work", "# " + spelled("TO", "DO") + ": later"),
        (ANYWHERE, "a test that cannot fail", spelled("assert ", "True")),
        (ANYWHERE, "code hidden from the count", "# " + spelled("pragma: ", "no cover")),
        (ANYWHERE, "a path of one machine", 'open("' + spelled("/ro", "ot/x") + '")'),
        (IN_PAGES, "a host outside", '<script src="https://cdn.example/x.js"></script>'),
        (IN_PAGES, "a host outside", '<a href="//example">'),
        (IN_PAGES, "a style attribute", '<p class="a" style="color: red">'),
        (IN_PAGES, "a script in the page", "<script>alert(1)</script>"),
        (IN_PAGES, "an attribute that runs script", '<p onclick="f()">'),
        (IN_PAGES, "an attribute that runs script", '<p hx-on::load="f()">'),
        (IN_PAGES, "text taken as safe", "{{ name | safe }}"),
        (IN_PAGES, "a trigger filter", '<p hx-trigger="keyup[key==1]">'),
        (IN_STYLES, "a host outside", "background: url(https://example/x.png)"),
    ],
)
def test_each_pattern_finds_what_it_is_for(patterns, what, line):
    assert patterns[what].search(line)


@pytest.mark.parametrize(
    "line", ['<script src="/static/x.js" defer></script>',
             '<script type="application/json" id="x">{}</script>', '<a href="/packs">',
             "<a href=\"{{ url_for('pack', key=1) }}\">"])
def test_ordinary_lines_of_a_page_pass(line):
    assert not [what for what, pattern in IN_PAGES.items() if pattern.search(line)]
