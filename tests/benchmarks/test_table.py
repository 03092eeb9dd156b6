"""The benchmarks' table, and that each reference works out the same board. No clock in here."""

import numpy as np
import pytest

from app.comparison.run import Side, compare_sides
from app.mechanics.inputs import State
from app.mechanics.traced import Array
from app.settings import Settings
from tests.benchmarks.boards import read_sides
from tests.benchmarks.catalogue import engine_documents, made_up_shop, pack_documents
from tests.benchmarks.references import Both, blocked, by_pint, by_uncertainties, loop
from tests.benchmarks.table import Line, side_by_side, table_text


def test_a_line_says_whether_its_target_is_reached() -> None:
    quick = Line("a", 2.0, "ms", "b", 1.0, most=3.0)
    assert (quick.ratio, quick.reached) == (2.0, "yes")
    assert Line("a", 4.0, "ms", "b", 1.0, most=3.0).reached == "no"
    many_times = Line("a", 2.0, "ms", "b", 90.0, least=40.0)
    assert (many_times.ratio, many_times.reached) == (45.0, "yes")
    assert Line("a", 2.0, "ms", "b", 70.0, least=40.0).reached == "no"
    rate = Line("a", 50.0, "/s", "b", 25.0, more=1.8)
    assert (rate.ratio, rate.reached, rate.texts()[4]) == (2.0, "yes", "≥ 1.8 ×")
    assert Line("a", 40.0, "/s", "b", 25.0, more=1.8).reached == "no"
    assert Line("a", 2.0, "ms", note="any").texts()[2:] == ("any", "", "", "")


def test_the_table_is_aligned() -> None:
    text = table_text([Line("board", 1.5, "ms", "loop", 3.0, most=4.0), Line("x", 2.0, "MB")])
    first, rule, board, other = text.splitlines()
    assert first.index("value") == board.index("1.5 ms") == other.index("2 MB")
    assert set(rule) == {"-", " "}
    assert board.endswith("≤ 4 ×   yes")


def test_jobs_take_turns() -> None:
    done: list[str] = []
    taken = side_by_side(lambda: done.append("a"), lambda: done.append("b"), rounds=3)
    assert done == ["a", "b"] * 3
    assert len(taken) == 2


def sides() -> tuple[Side, Side]:
    draw = np.random.default_rng(5)

    def one(count: int) -> Side:
        sd: Array = draw.uniform(0.02, 0.1, count)
        none = np.zeros(count)
        return Side(draw.uniform(15.0, 40.0, count), np.stack([none, sd**2, none, none]), sd**2)

    return one(30), one(12)


def test_every_reference_gives_the_same_figures() -> None:
    packs, engines = sides()
    both = Both.of(packs, engines)
    expected = loop(both)()
    for name, found, close in zip(
        ("ratio", "low", "high", "chance"), blocked(both)(), (1e-12, 1e-12, 1e-12, 1e-7),
        strict=True,
    ):
        place = ("ratio", "low", "high", "chance").index(name)
        np.testing.assert_allclose(found, expected[place], rtol=0, atol=close, err_msg=name)
    np.testing.assert_allclose(by_pint(both)(), expected[0], rtol=1e-12)
    ratio, low, high, chance = by_uncertainties(both)()
    np.testing.assert_allclose(ratio, expected[0], rtol=1e-12)
    # Symmetric about the value: of second order in the doubt.
    for found, other in ((low, expected[1]), (high, expected[2])):
        np.testing.assert_allclose(found, other, rtol=0.06)
    np.testing.assert_allclose(chance, expected[3], atol=0.06)


@pytest.fixture
def shop(sqlite_url: str, tmp_path_factory: pytest.TempPathFactory) -> Settings:
    return made_up_shop(tmp_path_factory.mktemp("shop"), 40, 5, sqlite_url)


def test_the_made_up_catalogue_is_read_and_compared(shop: Settings) -> None:
    found = read_sides(shop)
    assert found.packs.value.size == 40
    board = compare_sides(found, State(), np.arange(40), np.arange(5))
    assert np.isfinite(board.ratio).mean() > 0.9
    assert [d.name for d in pack_documents(2)] == ["Pack 000000", "Pack 000001"]
    assert len(list(engine_documents(3))) == 3
