import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.errors import BadInput
from app.web.api.bodies import DEEPEST, NotJson, decode

JSON_VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(10**18), 10**18)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(st.characters(exclude_categories=["Cs"])),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(max_size=5), inner),
    max_leaves=20,
)


@given(JSON_VALUES)
def test_what_is_json_is_read_as_the_library_reads_it(value: object) -> None:
    text = json.dumps(value)
    assert decode(text.encode()) == json.loads(text)
    assert decode(("\ufeff " + text + "\n").encode()) == value


@given(st.binary(max_size=60))
def test_any_bytes_are_a_value_or_a_refusal(body: bytes) -> None:
    refusal: NotJson | BadInput | None = None
    try:
        decode(body)
    except (NotJson, BadInput) as raised:
        refusal = raised
    if isinstance(refusal, NotJson):
        assert refusal.status_code == 400
    assert refusal is None or str(refusal).endswith(".")


@pytest.mark.parametrize(
    ("body", "said"),
    [
        (b"", "empty"),
        (b"\xc3(", "byte 1"),
        (b'{"a": 1,}', "line 1, column 9"),
        (b'{\n"a" 1}', "line 2, column 5"),
        (b'{"b": {"a": 1, "a": 1}}', "“a” twice"),
        (b"[Infinity]", "Infinity is not a number"),
        (b'["\\ud800", {"\\udfff": 1}]', "half of a surrogate"),
    ],
)
def test_a_refusal_says_where_and_what(body: bytes, said: str) -> None:
    with pytest.raises(NotJson) as refusal:
        decode(body)
    assert said in refusal.value.detail
    refusal.value.detail.encode()


def test_nesting_has_an_end() -> None:
    deepest = b"[" * DEEPEST + b"]" * DEEPEST
    assert decode(deepest)
    for body in (b"[" + deepest + b"]", b"[" * 10**6, b'{"a":' * 10**5):
        with pytest.raises(NotJson, match=r"nested too deeply|not JSON"):
            decode(body)


@pytest.mark.parametrize("number", ["1e400", "-1e400", "9" * 400, "9" * 5000])
def test_a_number_that_no_float_holds_is_named_by_its_path(number: str) -> None:
    with pytest.raises(BadInput) as refusal:
        decode(f'{{"a": [0, {{"b": {number}}}]}}'.encode())
    assert [problem.field for problem in refusal.value.problems] == ["a.1.b"]


def test_long_whole_numbers_are_still_numbers() -> None:
    assert decode(b"9223372036854775807") == 2**63 - 1
    assert decode(b"1" + b"0" * 30) == 1e30
