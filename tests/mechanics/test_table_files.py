"""Reading a table file: types of cells, and what a bad file is told."""

from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import pytest

from app.errors import BadInput
from app.mechanics.table_files import load_rows, normalised, unknown_name


@dataclass(frozen=True)
class Line:
    name: str
    sign: Literal["plus", "minus"]
    count: int | None
    size: float


def write(folder: Path, text: str) -> None:
    (folder / "lines.csv").write_text(text, encoding="utf-8")


def test_cells_become_the_types_of_the_row(tmp_path: Path) -> None:
    write(tmp_path, 'size,name,sign,count\n1.5,"a, b",plus,\n2, c ,minus,3\n')
    rows = load_rows("lines", Line, tmp_path)
    assert rows == (Line("a, b", "plus", None, 1.5), Line("c", "minus", 3, 2.0))


def test_a_blank_number_says_file_line_and_column(tmp_path: Path) -> None:
    write(tmp_path, "size,name,sign,count\n1.5,a,plus,\n,b,plus,\n")
    with pytest.raises(BadInput) as caught:
        load_rows("lines", Line, tmp_path)
    assert "lines.csv, line 3, size" in str(caught.value.problems[0])


def test_a_word_that_is_not_one_of_the_choices_lists_them(tmp_path: Path) -> None:
    write(tmp_path, "size,name,sign,count\n1.5,a,both,\n")
    with pytest.raises(BadInput) as caught:
        load_rows("lines", Line, tmp_path)
    assert "plus, minus" in caught.value.problems[0].message


@pytest.mark.parametrize("heading", ["size,name,sign", "size,name,sign,count,colour"])
def test_missing_and_unknown_headings_are_refused(tmp_path: Path, heading: str) -> None:
    write(tmp_path, heading + "\n")
    with pytest.raises(BadInput) as caught:
        load_rows("lines", Line, tmp_path)
    assert "name, sign, count, size" in caught.value.problems[0].message


def test_names_are_compared_without_case_hyphens_and_underscores() -> None:
    assert normalised(" Oil-tempered_Wire ") == normalised("oil tempered wire")


def test_unknown_name_lists_each_known_one_once() -> None:
    problem = unknown_name("facing", "felt", ["cork", "paper", "cork"]).problems[0]
    assert problem.message == "“felt” is not in the table. Use one of: cork, paper."
