"""Every input has words, a unit, a place on the cell page and a box in a form."""

from app.comparison.inputs_list import list_inputs
from app.mechanics.inputs import State
from app.presentation.input_words import anchor, edit_address, input_dimension, input_label
from app.units import DIMENSIONS
from tests.shop import shop


def test_every_input_of_the_shop_has_words_of_the_trade() -> None:
    packs, engines = shop()
    paths = {
        line.path
        for pack in packs
        for engine in engines
        for line in list_inputs(pack.inputs, engine.inputs, State())
    }
    assert len(paths) > 30
    for path in paths:
        label = input_label(path)
        assert "_" not in label, path
        assert "." not in label, path
        assert not label.lower().endswith((" mm", " nm", " rpm")), path
        assert input_dimension(path) in DIMENSIONS


def test_units_follow_the_name_of_the_figure() -> None:
    def unit(path: str) -> str:
        return DIMENSIONS[input_dimension(path)].canonical

    for path, label in {
        "pack.facing_od_mm": "mm",
        "pack.clamp.springs.1.rate_n_per_mm": "N/mm",
        "pack.clamp.springs.0.load_points": "N/mm",
        "pack.clamp.force_n": "N",
        "pack.clamp.ramp_angle_deg": "°",
        "engine.torque.torque_nm": "N·m",
        "engine.torque.points": "N·m",
        "engine.torque.bmep_kpa": "kPa",
        "pack.friction.oiled.sliding": "",
    }.items():
        assert unit(path) == label, path


def test_a_second_group_of_springs_says_so() -> None:
    assert input_label("pack.clamp.springs.0.wire_mm") == "Wire diameter"
    assert input_label("pack.clamp.springs.1.wire_mm") == "Wire diameter, spring group 2"


def test_where_it_stands_and_where_it_is_typed() -> None:
    path = "pack.clamp.springs.0.free_length_mm"
    assert anchor(path) == "input-pack-clamp-springs-0-free-length-mm"
    assert edit_address(path, "p1", "e1") == "/packs/p1/edit#f-clamp-springs-0-free-length-mm"
    assert edit_address("engine.primary_ratio", "p1", "e1") == "/engines/e1/edit#f-primary-ratio"
    assert edit_address("state.speed_rpm", "p1", "e1") == ""
