"""The parts of a long form: nothing is left out, and what is folded tells what it holds."""

import re
from pathlib import Path

import pytest

from app.fields import PACK
from app.web.forms import clamp_form, engine_form, pack_form
from app.web.forms.form_sections import ENGINE_SECTIONS, PACK_SECTIONS, Section, section_views
from app.web.forms.reader import FormReader

TEMPLATES = Path(__file__).parents[3] / "templates" / "pages"


@pytest.mark.parametrize(
    ("sections", "names"),
    [
        (PACK_SECTIONS, (*pack_form.FIGURES, *pack_form.COUNTS, "clamp.kind", "facing", "notes")),
        (ENGINE_SECTIONS, (*engine_form.FIGURES, *engine_form.TEETH, "torque.kind", "notes")),
    ],
)
def test_every_box_stands_in_one_part(sections: tuple[Section, ...], names: list[str]) -> None:
    for name in names:
        for box in (name, f"{name}__doubt", f"{name}__how", f"{name}__unit"):
            assert [part.key for part in sections if part.holds(box)] != [], box
            assert len([part for part in sections if part.holds(box)]) == 1, box
    assert any(part.holds(clamp_form.POINTS + ".0.force_n") for part in PACK_SECTIONS)


@pytest.mark.parametrize(
    ("noun", "sections"), [("packs", PACK_SECTIONS), ("engines", ENGINE_SECTIONS)]
)
def test_a_form_shows_every_part(noun: str, sections: tuple[Section, ...]) -> None:
    page = (TEMPLATES / noun / "form.html").read_text()
    shown = re.findall(r'view\.sections\["(\w+)"\]', page)
    assert shown == [part.key for part in sections]


def test_a_part_that_can_wait_is_open_only_for_what_is_wrong_or_unusual() -> None:
    typed = {"lift_mm": "90", "lift_mm__unit": "mm", "spline_count": "x"}
    assert not section_views(PACK_SECTIONS, FormReader(typed))["release"].open
    form = FormReader(typed)
    form.say("spline_count", "Write a whole number.")
    views = section_views(PACK_SECTIONS, form)
    assert (views["fit"].open, views["fit"].wrong) == (True, 1)
    assert (views["release"].open, views["release"].wrong) == (False, 0)
    form.quantity("lift_mm", PACK["lift_mm"])
    assert section_views(PACK_SECTIONS, form)["release"].open


def test_the_line_of_a_part_tells_three_figures_and_counts_the_rest() -> None:
    form = FormReader(
        {
            "envelope_diameter_mm": "150",
            "envelope_diameter_mm__unit": "mm",
            "envelope_height_mm": "2 in",
            "envelope_height_mm__unit": "in",
            "spline_count": "12",
            "gear_teeth": "60",
            "notes": "n" * 90,
        }
    )
    views = section_views(PACK_SECTIONS, form)
    assert views["fit"].filled == (
        "Largest diameter of the pack 150 mm · Height of the pack 2 in · Splines of the hub 12 · "
        "1 more"
    )
    assert views["notes"].filled == "n" * 57 + "…"
    assert views["release"].filled == "nothing filled in"
    assert [view.number for view in views.values()] == list(range(1, len(PACK_SECTIONS) + 1))


def test_the_stamp_is_folded_once_it_says_who_and_how() -> None:
    stamp = {"stamp_by": "Ada", "stamp_at": "2026-11-25", "stamp_how": "measured"}
    known = section_views(PACK_SECTIONS, FormReader(stamp))["stamp"]
    assert (known.open, known.filled) == (False, "Measured, Ada, 2026-11-25")
    assert section_views(PACK_SECTIONS, FormReader(stamp | {"stamp_by": ""}))["stamp"].open
    assert section_views(PACK_SECTIONS, FormReader(stamp | {"stamp_how": ""}))["stamp"].open
