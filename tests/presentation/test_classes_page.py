"""Displacement classes in words, charts and rows."""

import json

import pytest

from app.comparison.board import PackEntry
from app.comparison.board_view import BoardView, Order
from app.comparison.class_board import ClaimMade, class_board
from app.errors import Problem
from app.mechanics.class_table import displacement_classes
from app.mechanics.inputs import LoadClamp, PackInputs, Quantity, State
from app.mechanics.tables import bmep_band
from app.presentation.class_chart import MOST_LINES
from app.presentation.classes_page import (
    ClassesPage,
    claim_rows,
    class_heads,
    factor_words,
    found_words,
    mounting_parts,
    pack_rows,
    pages_of,
)

VIEW = BoardView()


def entry(name: str, clamp_n: float | None, mounting: str | None = "geared") -> PackEntry:
    clamp = None if clamp_n is None else LoadClamp(Quantity(clamp_n, plus_minus=0.01 * clamp_n))
    inputs = PackInputs(
        name=name, friction_plates=6, facing_od_mm=Quantity(140.0), facing_id_mm=Quantity(104.0),
        mounting=mounting, friction={("oiled", "sliding"): Quantity(0.12)}, clamp=clamp,
    )
    return PackEntry(name.lower(), 1, name, inputs)


def board(*packs: PackEntry, claims=(), factor: float = 1.0):
    return class_board(packs, claims, State(), displacement_classes(), bmep_band("four_stroke"), 4,
                       factor)


def part(found, key: str):
    return next(p for p in mounting_parts(found, VIEW) if p.key == key)


def test_the_bars_are_the_bands_and_the_lines_the_lower_ends() -> None:
    found = board(entry("Strong", 1500.0))
    geared = part(found, "geared")
    bars, middles, line = geared.spec["traces"]
    demands = found.demands["geared"]
    assert bars["base"] == [d.low_nm for d in demands]
    tops = [base + height for base, height in zip(bars["base"], bars["y"], strict=True)]
    assert tops == pytest.approx([d.high_nm for d in demands])
    assert middles["y"][::3] == middles["y"][1::3] == [d.middle_nm for d in demands]
    assert set(middles["y"][2::3]) == {None}
    assert set(line["y"]) == {found.packs[0].capacity.low}
    json.dumps(geared.spec, allow_nan=False)


def test_each_mounting_draws_its_own_packs_and_no_more_than_can_be_read() -> None:
    found = board(entry("Crank", 900.0, "crankshaft"),
                  *(entry(f"Pack {n}", 1000.0 + n) for n in range(MOST_LINES + 3)))
    names = [t["name"] for t in part(found, "geared").spec["traces"][2:]]
    assert names == [f"Pack {n}" for n in range(MOST_LINES + 2, 2, -1)]
    assert [t["name"] for t in part(found, "crankshaft").spec["traces"][2:]] == ["Crank"]


def test_a_mounting_says_which_pack_reaches_furthest_or_that_none_does() -> None:
    strong = board(entry("Weak", 700.0), entry("Strong", 1500.0))
    assert "Of 2 packs behind the primary gear, Strong reaches furthest" in part(
        strong, "geared").says
    assert part(strong, "geared").says.endswith(", at service factor 1.")
    assert part(strong, "crankshaft").says == "No pack with a known capacity sits on the " \
                                              "crankshaft."
    assert "holds the whole band of even the smallest" in part(
        board(entry("Feather", 5.0)), "geared").says


def test_bands_are_written_with_their_ratios() -> None:
    parts = mounting_parts(board(), VIEW)
    rows = {p.key: p.bands for p in parts}
    assert {row.ratios for row in rows["crankshaft"]} == {"1"}
    assert rows["geared"][0].ratios == "3.5–4.7"
    assert rows["geared"][0].displacement == "50"


def test_a_pack_row_says_what_it_holds_or_what_is_missing() -> None:
    found = board(entry("Strong", 1500.0), entry("Bare", None), entry("Loose", 900.0, None))
    known, lost, unplaced = pack_rows(found.packs, VIEW)
    assert known.whole.endswith("\u00a0cm³")
    assert known.address == "/packs/strong"
    assert known.note == ""
    assert (lost.whole, lost.capacity, lost.note) == (
        "not known", "not known", "a figure is missing")
    assert unplaced.note == "its mounting is not recorded"
    assert unplaced.capacity != "not known"


def test_a_weak_pack_holds_none() -> None:
    (row,) = pack_rows(board(entry("Feather", 5.0)).packs, VIEW)
    assert (row.whole, row.half) == ("none", "none")


def test_a_claim_has_its_range_and_a_verdict_s_mark() -> None:
    claims = [ClaimMade("strong", "Big", "", 50, 650), ClaimMade("strong", "Small", "", None, 50),
              ClaimMade("strong", "Silent", "", None, None),
              ClaimMade("strong", "Wild", "", 650, 650)]
    held = board(entry("Strong", 800.0), claims=claims)
    found = {r.offer: r for r in claim_rows(held, held.packs)}
    assert (found["Big"].claim, found["Big"].verdict, found["Big"].tone) == (
        "50–650\u00a0cc", "Partly", "tight")
    assert (found["Small"].claim, found["Small"].tone) == ("up to 50\u00a0cc", "holds")
    assert (found["Small"].classes, found["Big"].classes) == ("50\u00a0cm³", "50 to 650\u00a0cm³")
    assert (found["Silent"].claim, found["Silent"].classes) == ("no displacement named", "")
    assert (found["Silent"].verdict, found["Silent"].tone) == ("Can’t tell", "unknown")
    assert found["Wild"].tone == "slips"


def test_the_factor_says_what_it_is_and_what_is_usual() -> None:
    plain = factor_words(4, 1.0)
    assert "mean torque and no more" in plain
    assert "1.5 for one cylinder (1.3 to 1.8), 1.4 for two" in plain
    assert "four-strokes" in plain
    harder = factor_words(2, 1.3)
    assert "multiplied by the service factor 1.3" in harder
    assert "1.4 for one cylinder" in harder
    assert "two-strokes" in harder
    # The board goes by each engine's own; it is said either way.
    assert all(words.endswith("The board takes each engine’s own.") for words in (plain, harder))


def test_pages_of_a_list_with_the_last_for_one_beyond() -> None:
    pager, shown = pages_of("Packs", 2, 50, 120, str)
    assert (pager.summary, shown) == ("Packs 51–100 of 120", slice(50, 100))
    assert (pager.previous, pager.next) == ("1", "3")
    last, shown = pages_of("Packs", 9, 50, 120, str)
    assert last.summary == "Packs 101–120 of 120; there is no page 9, so this is the last"
    assert (last.next, shown) == ("", slice(100, 120))
    assert [label for label, *_ in pages_of("Packs", 5, 1, 9, str)[0].pages] == [
        "1", "…", "4", "5", "6", "…", "9"]
    assert pages_of("Packs", 1, 50, 0, str)[0].summary == "No packs"


def test_headings_sort_and_turn_round() -> None:
    name, capacity = class_heads(VIEW, lambda v: v.order.text)
    assert (name.sorted, name.href) == ("ascending", "-name")
    assert (capacity.sorted, capacity.href) == ("", "-capacity")
    _, capacity = class_heads(BoardView(order=Order("capacity", None, True)),
                              lambda v: v.order.text)
    assert (capacity.sorted, capacity.href) == ("descending", "capacity")


def test_one_pack_is_one_pack() -> None:
    assert found_words(board(entry("A", 9.0))) == "1 pack against 11 classes"
    assert found_words(board()) == "0 packs against 11 classes"


def test_the_page_gives_each_box_its_own_message() -> None:
    page = ClassesPage(
        "", "", (), (), (), {}, (), (), "", "", "", "",
        (Problem("factor", "Write a service factor above 0."), Problem("kind", "Choose one.")))
    assert page.message_for("factor") == "Write a service factor above 0."
    assert page.message_for("q") is None
    assert page.caution_for("factor") is None
