"""Figures keep what was known of them while nobody touches them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.documents import Pack, Q
from app.web.forms.pack_form import pack_texts
from tests.web.typed_packs import TYPED, pack_of


def test_the_stamp_of_the_form_goes_to_every_figure_that_says_nothing_itself() -> None:
    pack = pack_of(TYPED)
    assert pack.facing_od_mm is not None
    assert (pack.facing_od_mm.how, pack.facing_od_mm.by) == ("measured", "Ada")
    assert pack.facing_id_mm is not None
    assert pack.facing_id_mm.how == "listed"


def test_untouched_figures_keep_who_took_them_and_changed_ones_get_the_new_stamp() -> None:
    stored = pack_of(TYPED)
    texts = pack_texts(stored) | {
        "facing_od_mm": "116",
        "stamp_by": "Ben",
        "stamp_at": "2026-11-25",
        "stamp_with": "",
    }
    pack = pack_of(texts, stored)
    assert pack.facing_id_mm == stored.facing_id_mm
    assert pack.facing_od_mm is not None
    assert (pack.facing_od_mm.value, pack.facing_od_mm.by) == (116.0, "Ben")
    assert pack.facing_od_mm.with_what is None
    assert pack.clamp == stored.clamp


def test_a_changed_doubt_is_a_changed_figure() -> None:
    stored = pack_of(TYPED)
    texts = pack_texts(stored) | {"facing_od_mm__doubt": "0.1", "stamp_by": "Ben"}
    pack = pack_of(texts, stored)
    assert pack.facing_od_mm is not None
    assert (pack.facing_od_mm.plus_minus, pack.facing_od_mm.by) == (0.1, "Ben")


def test_a_figure_with_a_standard_uncertainty_keeps_it_while_it_is_untouched() -> None:
    stored = Pack(name="Fitted", lift_mm=Q(value=1.23456789012, std=0.01, how="measured"))
    texts = pack_texts(stored)
    assert texts["lift_mm"] == "1.23456789012"
    assert pack_of(texts, stored) == stored


def test_the_usual_doubt_reopens_blank_and_stays_while_the_figure_does() -> None:
    usual = Q(value=2.0, plus_minus=0.05, how="measured", default_doubt=True)
    stored = Pack(name="Usual", lift_mm=usual)
    texts = pack_texts(stored)
    assert "lift_mm__doubt" not in texts
    assert pack_of(texts, stored).lift_mm == usual


def test_a_bare_doubt_beside_a_figure_in_inches_is_written_with_its_unit() -> None:
    stored = Pack(name="From a file", lift_mm=Q(value=25.4, plus_minus=0.1, typed="1 in"))
    texts = pack_texts(stored) | {"lift_mm__how": "listed"}
    lift = pack_of(texts, stored).lift_mm
    assert lift is not None
    assert lift.plus_minus == pytest.approx(0.1, rel=1e-15)


@given(value=st.floats(1e-6, 1e8), doubt=st.one_of(st.none(), st.floats(0, 0.9)))
def test_any_stored_figure_comes_back_to_the_last_bit(value: float, doubt: float | None) -> None:
    half_width = None if doubt is None else doubt * value
    stored = Pack(name="x", lift_mm=Q(value=value, plus_minus=half_width))
    again = pack_of(pack_texts(stored) | {"name": "y"})
    assert again.lift_mm is not None
    assert (again.lift_mm.value, again.lift_mm.plus_minus) == (value, half_width)
