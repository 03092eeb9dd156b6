"""Force at the hand of many packs."""

from dataclasses import replace

from app.comparison.checks import checks
from app.comparison.hand_force import hand_forces
from app.mechanics.inputs import State
from tests.shop import shop

STATE = State("oiled", "sliding")


def test_it_is_the_force_that_the_check_of_each_pack_tells() -> None:
    packs = [p.inputs for p in shop()[0]]
    known = 0
    for pack, force in zip(packs, hand_forces(packs, STATE), strict=True):
        told = next((c for c in checks(pack, None, STATE) if c.name == "hand force"), None)
        if force is None:
            assert told is None or told.outcome == "not known"
        else:
            known += 1
            assert told is not None
            assert told.text.startswith(f"{force:.0f} N at the lever")
    assert known > 3


def test_without_a_lever_it_is_not_known() -> None:
    pack = next(p.inputs for p in shop()[0] if p.inputs.lever_ratio is not None)
    assert hand_forces([replace(pack, lever_ratio=None)], STATE) == (None,)
    assert hand_forces([], STATE) == ()
