"""The states among which the worst is looked for."""

from app.comparison.varied import states_of
from app.mechanics.inputs import State

STATE = State("dry", "static", 0.4, "uniform_pressure", 5000.0)


def test_nothing_varied_is_the_state_itself() -> None:
    assert states_of(STATE, ()) == (STATE,)


def test_what_is_varied_takes_every_value_and_the_rest_stays() -> None:
    found = states_of(STATE, ("wear", "lubrication"))
    assert {(s.lubrication, s.wear_mm) for s in found} == {
        ("oiled", 0.0), ("oiled", None), ("dry", 0.0), ("dry", None)}
    assert {(s.friction, s.radius, s.speed_rpm) for s in found} == {
        ("static", "uniform_pressure", 5000.0)}


def test_everything_varied_is_eight_states_apart() -> None:
    assert len(set(states_of(STATE, ("lubrication", "friction", "wear")))) == 8
