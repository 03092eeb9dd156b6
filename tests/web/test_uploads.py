import pytest

from app.errors import BadInput
from app.web.forms.reader import FormReader
from app.web.uploads import MOST_ROWS, Upload, limits


def test_a_form_without_a_file_is_told_so() -> None:
    with pytest.raises(BadInput, match="Choose a CSV file"):
        Upload(FormReader({}), None).table(1000)


def test_a_file_within_the_limits_is_a_table() -> None:
    table = Upload(FormReader({}), b"id,name\r\n,A\r\n").table(1000)
    assert (table.columns, table.rows) == (("id", "name"), [{"id": "", "name": "A"}])


def test_the_limits_are_those_that_the_page_states() -> None:
    assert (limits(2048).bytes, limits(2048).rows) == (2048, MOST_ROWS)
    with pytest.raises(BadInput, match="more than 5000 rows"):
        Upload(FormReader({}), b"a\r\n" + b"1\r\n" * (MOST_ROWS + 1)).table(10**6)
    with pytest.raises(BadInput, match="Send at most 10"):
        Upload(FormReader({}), b"a\r\n" * 10).table(10)
