"""Public functions of the centre say what they take and give: names, units, range, source."""

import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable, Iterator
from types import FunctionType
from typing import Any

import pytest

import app.mechanics

# Reading table files is no mechanics: names and rows, no figures.
NOT_MECHANICS = {"app.mechanics.table_files"}
MODULES = [
    *(f"app.mechanics.{m.name}" for m in pkgutil.iter_modules(app.mechanics.__path__)),
    "app.comparison.run", "app.comparison.cell",
]
# A return type that carries figures must name their unit in the docstring.
FIGURES = re.compile(r"float|int\b|Array|Value|Traced|Quantity|Column|Draws|RateFit|Reading")
UNIT = re.compile(r"\[[^\]]+\]|N·m|N/mm|r/min|\bmm|\bMPa|\bN\b")


def functions() -> Iterator[tuple[str, Callable[..., Any]]]:
    """Public functions of the centre by their full name, each in its own module."""
    for name in MODULES:
        if name in NOT_MECHANICS:
            continue
        module = importlib.import_module(name)
        for attribute, value in vars(module).items():
            plain = inspect.unwrap(value) if callable(value) else value
            own = isinstance(plain, FunctionType) and plain.__module__ == name
            if own and not attribute.startswith("_"):
                yield f"{name}.{attribute}", plain


FUNCTIONS = dict(functions())


def part(text: str, heading: str) -> str | None:
    """What stands under a heading, up to the next empty line."""
    found = re.search(rf"^{heading}:(.*?)(?:\n\n|\Z)", text, re.M | re.S)
    return None if found is None else found[1]


def faults(function: Callable[..., Any]) -> list[str]:
    """What a docstring lacks, in words."""
    text = inspect.getdoc(function) or ""
    named = re.findall(r"^    (\w+):", part(text, "Args") or "", re.M)
    signature = inspect.signature(function)
    parameters = list(signature.parameters)
    found = []
    if named != parameters:
        found.append(f"Args names {named}, the signature {parameters}")
    returns = part(text, "Returns")
    # A table of fixed rows may say in its first line what it holds.
    told = returns if returns is not None or parameters else text
    if told is None:
        found.append("no Returns")
    elif FIGURES.search(str(signature.return_annotation)) and not UNIT.search(told):
        found.append(f"no unit in {told.strip()!r}")
    found += [f"no {h}" for h in ("Range", "Source") if not re.search(rf"\b{h}:", text)]
    body = inspect.getsource(function).replace(function.__doc__ or "", "")
    if re.search(r"raise (BadInput|unknown_name|OutsideValidity)", body) and (
            not re.search(r"^Errors:", text, re.M)):
        found.append("raises, but has no Errors")
    return found


@pytest.mark.parametrize("name", FUNCTIONS)
def test_docstring_is_complete(name):
    assert faults(FUNCTIONS[name]) == []


def test_the_centre_is_found():
    assert len(FUNCTIONS) > 60
    assert "app.comparison.run.compare" in FUNCTIONS
    assert "app.mechanics.tables.friction_rows" in FUNCTIONS


def complete(length_mm: float) -> float:
    """Half a length.

    Args:
        length_mm: length [mm].

    Returns:
        Half of it [mm].

    Range: any. Source: arithmetic.
    """
    return length_mm / 2.0


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ("length_mm: length", "length: length", "Args names"),
        ("Half of it [mm].", "Half of it.", "no unit"),
        ("Returns:", "Gives:", "no Returns"),
        ("Range:", "From:", "no Range"),
        ("Source:", "By:", "no Source"),
    ],
)
def test_each_fault_of_a_docstring_is_found(monkeypatch, old, new, fault):
    assert faults(complete) == []
    monkeypatch.setattr(complete, "__doc__", complete.__doc__.replace(old, new))
    assert fault in " ".join(faults(complete))
