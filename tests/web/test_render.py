from pathlib import Path

import pytest
from jinja2 import UndefinedError

from app.web.render import NavEntry, app_version, make_environment

HOSTILE = '<script>alert(1)</script>"><img src=x onerror=alert(1)>{{7*7}}'


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path


@pytest.mark.parametrize("name", ["a.html", "a.svg", "a.txt", "a.html.j2"])
def test_everything_is_escaped_whatever_its_name(folder: Path, name: str) -> None:
    (folder / name).write_text('<p title="{{ view }}">{{ view }}</p>')
    text = make_environment(folder, str).get_template(name).render(view=HOSTILE)
    assert "<script" not in text
    assert "<img" not in text
    assert '"><' not in text.removeprefix('<p title="').replace('">&lt;', "")
    assert "{{7*7}}" in text


def test_a_name_that_nobody_gave_stops_the_page(folder: Path) -> None:
    environment = make_environment(folder, str)
    for text in ("{{ nobody }}", "{% if nobody %}x{% endif %}", "{{ view.nobody }}"):
        with pytest.raises(UndefinedError):
            environment.from_string(text).render(view={})


def test_json_in_a_page_cannot_end_its_element_or_hold_what_is_no_number(folder: Path) -> None:
    environment = make_environment(folder, str)
    template = environment.from_string('<script type="application/json">{{ view|tojson }}</script>')
    assert template.render(view=["</script>", "N·m"]).count("</script>") == 1
    assert "N·m" in template.render(view=["</script>", "N·m"])
    for value in (float("nan"), float("inf")):
        with pytest.raises(ValueError, match="JSON compliant"):
            template.render(view=[value])


@pytest.mark.parametrize(
    ("href", "path", "marks"),
    [
        ("/packs", "/packs", "page"),
        ("/packs", "/packs/7", "true"),
        ("/packs", "/packs-and-more", ""),
        ("/", "/", "page"),
        ("/", "/packs", ""),
    ],
)
def test_navigation_knows_where_it_is(href: str, path: str, marks: str) -> None:
    assert NavEntry(href, "x").marks(path) == marks


def test_the_version_is_the_installed_one() -> None:
    assert app_version()[0].isdigit()
