"""The answer of a launch in words and figures."""

from dataclasses import dataclass

from app.comparison.launch import Launch
from app.presentation.numbers import number_text


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure of the answer: label, number, unit."""

    label: str
    text: str
    unit: str


@dataclass(frozen=True)
class LaunchRows:
    """The figures that are known, and the sentences that go with them."""

    model: str
    figures: tuple[Figure, ...]
    words: tuple[str, ...]


MODEL_WORDS = {
    "held_driver": "The engine is held at its speed.",
    "two_inertias": "The engine slows down: both sides turn by their inertia alone.",
}


def launch_rows(answer: Launch) -> LaunchRows:
    """The answer as rows; a figure that never comes is left out, and the words say why."""
    found = (
        ("Heat of one launch", answer.energy_j, 0, "J"),
        ("Slip time", answer.slip_time_s, 2, "s"),
        ("Common clutch speed", answer.common_speed_rpm, 0, "r/min"),
        ("Heat over all faces", answer.energy_per_area_j_mm2, 3, "J/mm²"),
        ("Temperature rise", answer.temperature_rise_k, 1, "K"),
    )
    figures = tuple(
        Figure(label, number_text(value, decimals=decimals), unit)
        for label, value, decimals, unit in found if value is not None
    )
    return LaunchRows(MODEL_WORDS[answer.model], figures, answer.words)
