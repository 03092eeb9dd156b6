from typing import Any

import pytest

from app.documents import Engine, Pack, read, unknown_paths
from app.errors import BadInput


def problems(raw: Any, model: Any = Pack) -> dict[str, str]:
    with pytest.raises(BadInput) as caught:
        read(model, raw)
    return {problem.field: problem.message for problem in caught.value.problems}


def test_every_refusal_comes_at_once_each_with_its_path() -> None:
    raw = {
        "name": "x",
        "facing_id_mm": "60",
        "clamp": {
            "kind": "coil",
            "springs": [{"count": 6}, {"count": 0, "load_points": [{"deflection_mm": 1}]}],
        },
    }
    assert problems(raw) == {
        "facing_id_mm": (
            'Write a number, like 12.5, or an object like {"value": 12.5, "plus_minus": 0.1}.'
        ),
        "clamp.springs.1.count": "Write 1 or a whole number above it.",
        "clamp.springs.1.load_points.0.force_n": "Add force_n; it is needed here.",
    }


@pytest.mark.parametrize(
    ("raw", "path", "told"),
    [
        ({}, "name", "Add name"),
        ([], "", "object"),
        ({"name": "x", "mounting": "loose"}, "mounting", "'crankshaft' or 'geared'"),
        ({"name": "x", "clamp": {}}, "clamp", "Add kind"),
        ({"name": "x", "clamp": {"kind": "glue"}}, "clamp", "'coil'"),
        ({"name": "x", "clamp": {"kind": "coil", "springs": 3}}, "clamp.springs", "list"),
        ({"name": "x", "friction": 3}, "friction", "object"),
    ],
)
def test_the_sentence_says_what_would_be_right(raw: Any, path: str, told: str) -> None:
    assert told in problems(raw)[path]


def test_lists_of_a_fixed_length_say_what_is_missing_or_too_much() -> None:
    assert (
        "one more number"
        in problems({"name": "x", "primary_teeth": [20]}, Engine)["primary_teeth.1"]
    )
    assert (
        "2 at most"
        in problems({"name": "x", "primary_teeth": [20, 60, 3]}, Engine)["primary_teeth"]
    )


def test_no_sentence_uses_words_of_the_trade_of_programming() -> None:
    raw = {"name": 3, "clamp": 3, "friction_plates": "x", "facing": [], "lift_mm": {"value": {}}}
    for sentence in problems(raw).values():
        assert not any(word in sentence.lower() for word in ("valid", "please", "input", "string"))


def test_unknown_keys_are_let_through_and_named_with_their_path() -> None:
    raw = {
        "name": "x",
        "frictoin_plates": 4,
        "lift_mm": {"value": 1, "plusminus": 0.1},
        "friction": {"dry": {"statik": 0.3}},
        "clamp": {
            "kind": "coil",
            "force_n": 3,
            "springs": [{}, {"cuont": 1, "load_points": [{"force": 1}]}],
        },
    }
    expected = [
        "frictoin_plates",
        "lift_mm.plusminus",
        "friction.dry.statik",
        "clamp.force_n",
        "clamp.springs.1.cuont",
        "clamp.springs.1.load_points.0.force",
    ]
    assert unknown_paths(raw, Pack) == expected
    raw["clamp"]["springs"][1]["load_points"] = []
    assert list(read(Pack, raw).unknown) == expected[:-1]


def test_a_known_document_has_no_unknown_keys() -> None:
    raw = {"name": "x", "torque": {"kind": "curve", "points": [[1000, 5]], "at": "wheel"}}
    assert unknown_paths(raw, Engine) == []
    assert unknown_paths({"torque": {"kind": "power", "points": []}}, Engine) == ["torque.points"]


def test_written_leaves_out_what_is_not_known() -> None:
    assert Pack(name="x").written() == {
        "name": "x",
        "lined_faces_per_plate": 2,
        "grooved_fraction": 0.0,
    }
