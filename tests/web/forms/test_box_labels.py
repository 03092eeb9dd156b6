import pytest

from app.web.forms.box_labels import box_label


@pytest.mark.parametrize(
    ("name", "label"),
    [
        ("name", "Name"),
        ("facing_od_mm", "Facing outside diameter"),
        ("facing_od_mm__doubt", "Facing outside diameter, doubt"),
        ("facing_od_mm__unit", "Facing outside diameter, unit"),
        ("clamp.kind", "What presses the plates together"),
        ("clamp.load.force_n", "Clamp load"),
        ("clamp.disc_table.installed_deflection_mm", "Installed deflection"),
        ("clamp.disc_table.points.2.force_n", "Load points, row 3, force"),
        ("clamp.springs.0.wire_mm", "Wire diameter"),
        ("clamp.springs.1.wire_mm", "Wire diameter, spring group 2"),
        ("clamp.springs.0.load_points.0.deflection_mm", "Load points, row 1, deflection"),
        ("friction.oiled.sliding", "Friction coefficient, oiled, sliding"),
        ("torque.power.power_kw", "Power"),
        ("torque.curve.points", "Points of the curve"),
        ("displacement_cc", "Displacement"),
        ("driving_teeth", "Driving teeth"),
        ("stamp_at", "Measured on"),
    ],
)
def test_a_box_is_called_what_a_builder_calls_it(name: str, label: str) -> None:
    assert box_label(name) == label
