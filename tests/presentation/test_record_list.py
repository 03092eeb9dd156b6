import pytest

from app.presentation.record_list import Cell, address, near, pager_of, sorting


@pytest.mark.parametrize(
    ("page", "pages", "shown"),
    [(1, 1, [1]), (1, 9, [1, 2, 9]), (5, 9, [1, 4, 5, 6, 9]), (9, 9, [1, 8, 9])],
)
def test_the_pages_near_the_shown_one_are_offered(page: int, pages: int, shown: list[int]) -> None:
    assert near(page, pages) == shown


def test_a_pager_leaves_the_search_as_it_is_and_marks_gaps() -> None:
    pager = pager_of("/packs", {"q": "a b", "page": "5"}, 5, 9, 441, "pack")
    assert pager.summary == "Packs 201–250 of 441"
    assert pager.previous == "/packs?q=a+b&page=4"
    assert pager.next == "/packs?q=a+b&page=6"
    assert [label for label, _, _ in pager.pages] == ["1", "…", "4", "5", "6", "…", "9"]
    assert pager.pages[0][1] == "/packs?q=a+b"
    assert pager.pages[3][2]


def test_nothing_found_has_no_summary_and_no_neighbours() -> None:
    pager = pager_of("/packs", {}, 1, 1, 0, "pack")
    assert (pager.summary, pager.previous, pager.next) == ("", "", "")


def test_a_heading_sorts_and_then_the_other_way_round_from_the_first_page() -> None:
    asked = {"q": "x", "page": "3"}
    up = sorting("/packs", asked, "name", "Pack")
    assert (up.sorted, up.href) == ("ascending", "/packs?q=x&order=-name")
    down = sorting("/packs", asked | {"order": "-name"}, "name", "Pack")
    assert (down.sorted, down.href) == ("descending", "/packs?q=x&order=name")
    other = sorting("/packs", asked, "changed", "Changed")
    assert (other.sorted, other.href) == ("", "/packs?q=x&order=changed")


def test_an_address_escapes_what_was_typed() -> None:
    assert address("/packs", {"q": '"><b>&x'}) == "/packs?q=%22%3E%3Cb%3E%26x"


def test_a_cell_says_what_it_is() -> None:
    assert Cell("not known", numeric=True).kinds == "num missing"
    assert Cell("2026-11-25", date=True).kinds == "date"
    assert Cell("paper").kinds == ""
