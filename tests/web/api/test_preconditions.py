import pytest
from fastapi import HTTPException
from starlette.requests import Request

from app.web.api.preconditions import Expected, if_match


def asked(*lines: str) -> Request:
    headers = [(b"if-match", line.encode("latin-1")) for line in lines]
    return Request({"type": "http", "headers": headers})


@pytest.mark.parametrize(
    ("lines", "current", "start"),
    [
        (('"3"',), 3, 3),
        (('"2"',), 3, 2),
        (('"2", "3"',), 3, 3),
        (('"2"', '"3"'), 3, 3),
        (('W/"3"',), 3, 0),
        (('"abc"',), 3, 0),
        (('""',), 3, 0),
        (('"03"',), 3, 0),
        (("*",), 7, 7),
        ((' , "3" , ,',), 3, 3),
    ],
)
def test_the_version_to_start_from(lines: tuple[str, ...], current: int, start: int) -> None:
    assert if_match(asked(*lines)).start(current) == start


def test_without_the_header_nothing_is_changed() -> None:
    with pytest.raises(HTTPException) as refusal:
        if_match(asked())
    assert refusal.value.status_code == 428


@pytest.mark.parametrize("line", ["3", '"3', '3"', '"3" "4"', "W/3", 'w/"3"', '"a"b"', "", "*, *"])
def test_what_is_no_list_of_tags_is_refused(line: str) -> None:
    with pytest.raises(HTTPException) as refusal:
        if_match(asked(line))
    assert refusal.value.status_code == 400


def test_no_record_has_the_version_that_stands_for_none() -> None:
    assert Expected(frozenset({"x"})).start(1) == 0


def test_a_long_header_is_read_in_one_pass() -> None:
    assert if_match(asked(",".join(['"1"'] * 5000) + ",")).start(1) == 1
    with pytest.raises(HTTPException):
        if_match(asked('"1"' + ", " * 30_000 + "x"))
