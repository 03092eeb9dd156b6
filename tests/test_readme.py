"""What README.md tells its reader to do works as it says."""

import json
import re
import shlex

import pytest
from starlette.testclient import TestClient

from app.main import create_app
from app.settings import PROJECT_ROOT, Settings
from app.unit_table import DIMENSIONS
from app.units import parse

README = (PROJECT_ROOT / "README.md").read_text(encoding="utf-8")


def block_after(marker: str) -> str:
    found = re.search(rf"<!-- {marker} -->\n```sh\n(.*?)\n```", README, re.DOTALL)
    assert found, marker
    return found.group(1)


def test_the_example_gives_the_figures_that_the_text_tells() -> None:
    words = shlex.split(block_after("example"))
    question = json.loads(words[words.index("-d") + 1])
    with TestClient(create_app(Settings()), base_url="http://127.0.0.1:8000") as client:
        answer = client.post("/api/v1/evaluate", json=question).json()
    assert answer["warnings"] == []
    told = re.search(
        r"`capacity_nm` ([\d.]+) N·m, `required_nm` ([\d.]+) N·m and `ratio` ([\d.]+), .*?"
        r"the verdict `(\w+)`",
        README,
    )
    assert told
    capacity, required, ratio, verdict = told.groups()
    assert f"{answer['capacity_nm']['value']:.1f}" == capacity
    assert f"{answer['required_nm']['value']:.1f}" == required
    assert f"{answer['ratio']['value']:.2f}" == ratio
    assert answer["verdict"] == verdict


def test_the_units_are_those_that_are_taken() -> None:
    table = README.split("<!-- units -->")[1].split("\n\n")[0]
    rows = re.findall(r"^\| ([a-z ]+) \| (.+) \|$", table, re.MULTILINE)[1:]
    assert len(rows) > 10
    for quantity, told in rows:
        name = {"spring rate": "rate"}.get(quantity, quantity)
        if name == "fraction":
            assert parse("12 %", name).value == parse("0.12", name).value
            continue
        assert told.split(", ") == list(DIMENSIONS[name].units)


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        ("12.5 mm", "length", 12.5),
        ("12,5 mm", "length", 12.5),
        ("1 1/2 in", "length", 38.1),
        ("1.2e3 N", "force", 1200.0),
        ("40 lbf·ft", "torque", 40 * 0.45359237 * 9.80665 * 0.3048),
    ],
)
def test_the_typed_examples_are_read(text: str, dimension: str, value: float) -> None:
    assert f"`{text}`" in README
    assert parse(text, dimension).value == pytest.approx(value, rel=1e-15)


def test_the_commands_install_what_was_tested() -> None:
    assert block_after("test-command").endswith("-m pytest")
    assert README.count("-c constraints.txt -e") == 2
    pinned = (PROJECT_ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines()
    assert all(re.fullmatch(r"[A-Za-z0-9_.-]+==[A-Za-z0-9_.+!-]+", line) for line in pinned)
    assert list(map(str.casefold, pinned)) == sorted(map(str.casefold, pinned))


def test_every_setting_that_it_names_is_one() -> None:
    for name in re.findall(r"GRIPLEDGER_([A-Z_]+)", README):
        assert name.lower() in Settings.model_fields, name
