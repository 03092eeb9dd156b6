"""The cases of RFC 7396, appendix A, and what a patch means for a figure."""

from typing import Any

import pytest

from app.web.api.merge import merged

APPENDIX_A: list[tuple[Any, Any, Any]] = [
    ({"a": "b"}, {"a": "c"}, {"a": "c"}),
    ({"a": "b"}, {"b": "c"}, {"a": "b", "b": "c"}),
    ({"a": "b"}, {"a": None}, {}),
    ({"a": "b", "b": "c"}, {"a": None}, {"b": "c"}),
    ({"a": ["b"]}, {"a": "c"}, {"a": "c"}),
    ({"a": "c"}, {"a": ["b"]}, {"a": ["b"]}),
    ({"a": {"b": "c"}}, {"a": {"b": "d", "c": None}}, {"a": {"b": "d"}}),
    ({"a": [{"b": "c"}]}, {"a": [1]}, {"a": [1]}),
    (["a", "b"], ["c", "d"], ["c", "d"]),
    ({"a": "b"}, ["c"], ["c"]),
    ({"a": "foo"}, None, None),
    ({"a": "foo"}, "bar", "bar"),
    ({"e": None}, {"a": 1}, {"e": None, "a": 1}),
    ([1, 2], {"a": "b", "c": None}, {"a": "b"}),
    ({}, {"a": {"bb": {"ccc": None}}}, {"a": {"bb": {}}}),
]


@pytest.mark.parametrize(("target", "patch", "result"), APPENDIX_A)
def test_the_cases_of_the_standard(target: Any, patch: Any, result: Any) -> None:
    assert merged(target, patch) == result


def test_a_figure_loses_what_the_patch_makes_untrue() -> None:
    usual = {"value": 2, "plus_minus": 0.1, "default_doubt": True, "how": "measured", "by": "Ada"}
    assert merged(usual, {"value": 3}) == {"value": 3, "how": "measured", "by": "Ada"}
    assert merged(usual, {"std": 0.2}) == {"value": 2, "std": 0.2, "how": "measured", "by": "Ada"}
    typed = {"value": 2, "typed": "2 mm", "plus_minus": 0.1, "typed_doubt": "0.1 mm"}
    assert merged(typed, {"plus_minus": 0.3}) == {"value": 2, "typed": "2 mm", "plus_minus": 0.3}
    assert merged(typed, {"value": 3}) == {"value": 3, "plus_minus": 0.1, "typed_doubt": "0.1 mm"}
    assert merged(typed, {"by": "Ada"}) == {**typed, "by": "Ada"}


def test_a_bare_number_is_a_figure() -> None:
    assert merged(2.5, {"plus_minus": 0.1}) == {"value": 2.5, "plus_minus": 0.1}
    assert merged(2.5, {"other": 1}) == {"other": 1}


def test_a_truth_value_is_no_figure() -> None:
    assert merged(True, {"std": 0.1}) == {"std": 0.1}


def test_neither_is_altered() -> None:
    target, patch = {"a": {"b": 1}}, {"a": {"c": 2}}
    merged(target, patch)
    assert target == {"a": {"b": 1}}
    assert patch == {"a": {"c": 2}}
