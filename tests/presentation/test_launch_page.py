"""The answer of a launch as rows."""

from app.comparison.launch import Driven, Driver, launch
from app.presentation.launch_page import MODEL_WORDS, launch_rows


def test_known_figures_come_with_their_units_and_unknown_ones_are_left_out() -> None:
    # E = ½ I ω² at the held driver: ½ · 0.4 · (2π·24)² = 4548 J (Jindal 22-8).
    rows = launch_rows(launch(60.0, Driver(1440.0), Driven(inertia_kg_m2=0.4)))
    shown = {f.label: (f.text, f.unit) for f in rows.figures}
    assert shown["Heat of one launch"] == ("4548", "J")
    assert shown["Slip time"] == ("1.01", "s")
    assert shown["Common clutch speed"] == ("1440", "r/min")
    assert "Temperature rise" not in shown
    assert "Heat over all faces" not in shown
    assert rows.model == MODEL_WORDS["held_driver"]


def test_the_plates_mass_adds_the_temperature() -> None:
    rows = launch_rows(
        launch(60.0, Driver(1440.0, 0.2), Driven(inertia_kg_m2=0.4), plate_mass_kg=0.5))
    shown = {f.label: f for f in rows.figures}
    assert shown["Temperature rise"].unit == "K"
    assert rows.model == MODEL_WORDS["two_inertias"]
    assert any("no cooling" in text for text in rows.words)


def test_a_clutch_that_never_locks_has_words_and_no_figures() -> None:
    rows = launch_rows(
        launch(5.0, Driver(1440.0), Driven(inertia_kg_m2=0.4), load_torque_nm=10.0))
    assert rows.figures == ()
    assert rows.words
