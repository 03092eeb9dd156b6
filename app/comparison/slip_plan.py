"""A slip test planned so that nothing shears: what slips when, and which link is the weakest."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from app.comparison.cell import Reading
from app.comparison.slip_load import MOST_POSITIONS, ring_positions, slip_load, with_springs
from app.errors import BadInput, Problem
from app.mechanics.friction_source import with_friction
from app.mechanics.inputs import (
    CentrifugalClamp,
    CoilClamp,
    DiscTableClamp,
    PackInputs,
    State,
)
from app.mechanics.missing import missing_in_pack
from app.mechanics.slip_heat import STEEL_HEAT, slip_power, temperature_rise
from app.mechanics.spring_checks import balanced_counts
from app.mechanics.torsion import Section, plastic_torque, yield_torque

# The band's upper end may use this share of the weakest link.
UTILISATION_LIMIT = 0.8

_ONE_RING = ("some can be left out only where all groups have the same number of springs, up to "
             f"{MOST_POSITIONS}.")


@dataclass(frozen=True, slots=True)
class Link:
    """A part between drive and gauge: a limit [N·m], or a section [mm] of a steel [MPa]."""

    kind: Literal["gauge", "rated"] | Section
    name: str
    max_nm: float | None = None
    size_mm: float | None = None
    yield_mpa: float | None = None


@dataclass(frozen=True, slots=True)
class LinkLimit:
    """A link's limit [N·m]: its rating, or where its surface yields and where it gives way."""

    name: str
    limit_nm: float
    yield_nm: float | None
    plastic_nm: float | None


@dataclass(frozen=True, slots=True)
class SpringCase:
    """Some springs fitted: slip torque [N·m], the weakest link and its utilisation [1].

    utilisation is the band's upper end over that link's limit. springs is None for a clamp that
    has no coil springs to leave out.
    """

    springs: int | None
    balanced: bool
    predicted: Reading
    weakest: str | None
    utilisation: float | None


@dataclass(frozen=True)
class SlipPlan:
    """The plan; figures that need something not given are None."""

    cases: tuple[SpringCase, ...]
    recommended_springs: int | None
    chosen: SpringCase | None
    links: tuple[LinkLimit, ...]
    power_w: float | None
    temperature_rise_k: float | None
    longest_run_s: float | None
    arm_force_n: float | None
    words: tuple[str, ...]


def plan_slip_test(
    pack: PackInputs,
    state: State,
    chain: Sequence[Link],
    springs_fitted: int | None = None,
    speed_rpm: float | None = None,
    seconds: float | None = None,
    plate_mass_kg: float | None = None,
    max_temperature_rise_k: float | None = None,
    arm_m: float | None = None,
) -> SlipPlan:
    """Predict the slip torque for each number of springs and hold it against every link.

    Recommended is the largest balanced number whose band's upper end stays under 0.8 of the
    weakest link. P = T ω, ΔT = P t/(m c), longest run t = m c ΔT_max/P, arm force F = T/L.

    Args:
        pack: the pack.
        state: the state of the test.
        chain: the parts between drive and gauge.
        springs_fitted: springs fitted [count]; None: the recommended number. The heat and the
            force at the arm are those of this number.
        speed_rpm: slip speed [r/min].
        seconds: length of the run [s].
        plate_mass_kg: steel that takes up the heat [kg]; None: the pack's own.
        max_temperature_rise_k: allowed rise [K].
        arm_m: length of the reaction arm [m].

    Returns:
        SlipPlan in N·m, W, K, s and N.

    Errors: BadInput when the slip torque can't be predicted, a link has no size, or the springs
        fitted are more than there are or none that can be left out.
    Range: groups of springs with one count a group share their positions, 16 at most; a clamp by
        weights is taken at the state's speed.
    Source: app.mechanics.torsion and slip_heat; the share of 0.8 is our choice.
    """
    pack = with_friction(pack, state.lubrication, state.friction)
    lacking = missing_in_pack(pack, state)
    if lacking:
        raise BadInput([Problem(path, _needs(path, pack)) for path in lacking])
    limits = tuple(_limit(link, i) for i, link in enumerate(chain))
    positions = ring_positions(pack)
    if springs_fitted is not None:
        _check_fitted(springs_fitted, positions, pack)
    speed = _weights_speed(pack, state)
    cases = tuple(_case(pack, state, k, positions, limits, speed) for k in _counts(positions))
    # Without a chain nothing is known to be safe, so nothing is recommended.
    safe = [c for c in cases
            if c.balanced and c.utilisation is not None and c.utilisation <= UTILISATION_LIMIT]
    recommended = safe[-1] if safe else None
    chosen = cases[0] if positions is None else recommended
    if springs_fitted is not None:
        chosen = cases[springs_fitted - 1]
    mass = plate_mass_kg
    if mass is None and pack.plate_mass_kg is not None:
        mass = pack.plate_mass_kg.value
    power = rise = longest = arm = None
    if chosen is not None and speed_rpm is not None:
        power = slip_power(chosen.predicted.value, speed_rpm)
    if power is not None and mass is not None:
        rise = None if seconds is None else temperature_rise(power * seconds, mass)
        if max_temperature_rise_k is not None and power > 0.0:
            longest = mass * STEEL_HEAT * max_temperature_rise_k / power
    if chosen is not None and arm_m is not None:
        arm = chosen.predicted.value / arm_m
    return SlipPlan(
        cases, recommended.springs if recommended else None, chosen, limits, power, rise, longest,
        arm, tuple(_words(pack, cases, recommended, chosen, limits)),
    )


def _limit(link: Link, place: int) -> LinkLimit:
    name = link.name
    if link.kind == "gauge" or link.kind == "rated":
        if link.max_nm is None or not link.max_nm > 0.0:
            raise BadInput([Problem(f"chain.{place}.max_nm", "Write a torque above 0 N·m.")])
        return LinkLimit(name, link.max_nm, None, None)
    size = "diameter_mm" if link.kind == "round" else "across_flats_mm"
    problems = [
        Problem(f"chain.{place}.{field}", f"Write a {word} above 0.")
        for field, value, word in ((size, link.size_mm, "size"),
                                   ("yield_mpa", link.yield_mpa, "yield strength"))
        if value is None or not value > 0.0
    ]
    if problems or link.size_mm is None or link.yield_mpa is None:
        raise BadInput(problems)
    section: Section = link.kind
    surface = yield_torque(section, link.size_mm, link.yield_mpa)
    return LinkLimit(name, surface, surface, plastic_torque(section, link.size_mm, link.yield_mpa))


def _check_fitted(springs: int, positions: int | None, pack: PackInputs) -> None:
    if positions is not None and springs > positions:
        told = f"The pack has {positions} positions; fit that many at most."
    elif positions is None and isinstance(pack.clamp, CoilClamp):
        told = f"Leave this out, so that all springs are taken as fitted: {_ONE_RING}"
    elif positions is None:
        told = "Leave this out: only coil springs can be taken out one by one."
    else:
        return
    raise BadInput([Problem("springs_fitted", told)])


def _weights_speed(pack: PackInputs, state: State) -> float | None:
    """Speed of the shaft that carries weights [r/min]; None for a clamp without any."""
    if not isinstance(pack.clamp, CentrifugalClamp):
        return None
    if pack.mounting != "crankshaft":
        raise BadInput([Problem("pack.mounting", "Write crankshaft: weights press by the speed of "
                                "their own shaft, and behind a primary gear that is not known.")])
    if state.speed_rpm is None:
        raise BadInput([Problem("state.speed_rpm", "Write the speed of the test in r/min: weights "
                                "do not press at rest.")])
    return state.speed_rpm


_FURTHER_OUT = ("Take load points further out: at this deflection and wear the clamp load lies "
                "outside those that were measured.")


def _needs(path: str, pack: PackInputs) -> str:
    clamp = pack.clamp
    if path == "pack.clamp.points" and isinstance(clamp, DiscTableClamp) and len(clamp.points) > 1:
        return _FURTHER_OUT
    return f"The slip torque needs {path}."


def _counts(positions: int | None) -> Sequence[int | None]:
    return [None] if positions is None else list(range(1, positions + 1))


def _case(
    pack: PackInputs, state: State, springs: int | None, positions: int | None,
    limits: Sequence[LinkLimit], speed: float | None,
) -> SpringCase:
    if springs is not None:
        pack = with_springs(pack, springs)
    predicted = slip_load(pack, state, speed).predicted
    if predicted is None:
        raise BadInput([Problem("pack.clamp", _FURTHER_OUT)])
    balanced = springs is None or positions is None or springs in balanced_counts(positions)
    if not limits:
        return SpringCase(springs, balanced, predicted, None, None)
    weakest = min(limits, key=lambda limit: limit.limit_nm)
    return SpringCase(springs, balanced, predicted, weakest.name,
                      predicted.high / weakest.limit_nm)


def _words(
    pack: PackInputs, cases: Sequence[SpringCase], recommended: SpringCase | None,
    chosen: SpringCase | None, limits: Sequence[LinkLimit],
) -> list[str]:
    words = []
    positions = cases[-1].springs
    if positions is None and isinstance(pack.clamp, CoilClamp):
        words.append(f"All springs are taken as fitted: {_ONE_RING}")
    if cases[-1].predicted.value == 0.0:
        words.append("Nothing presses the plates in this state, so there is nothing to test.")
    if not limits:
        words.append("No chain is given, so nothing says what would break first.")
    elif recommended is None:
        words.append(_why_none(cases))
    elif recommended.springs is not None and positions is not None:
        words.append(f"Fit {recommended.springs} of {positions} springs, evenly spaced.")
        if recommended.springs < positions:
            words.append(f"Scale the result by {positions}/{recommended.springs} for all springs; "
                         "whether it scales is what a test at a second number of springs checks.")
    if chosen is not None and not chosen.balanced:
        words.append("This number of springs does not sit evenly: the pressure plate can tilt, "
                     "and the reading then tells little of the friction.")
    if chosen is not None and chosen.utilisation is not None \
            and chosen.utilisation > UTILISATION_LIMIT:
        words.append(f"{chosen.weakest} would be loaded to {100 * chosen.utilisation:.0f} % at "
                     "the upper end: do not begin this test.")
    return words


def _why_none(cases: Sequence[SpringCase]) -> str:
    """What stands against every number of springs."""
    fewest = next((case for case in cases if case.balanced), None)
    if fewest is None:
        return "None: fewer than three springs never sit evenly, so the pressure plate can tilt."
    what = "This clamp" if fewest.springs is None else "Even the fewest springs that sit evenly"
    return (f"None: a stronger chain is needed. {what} would load {fewest.weakest} past "
            f"{100 * UTILISATION_LIMIT:.0f} %.")
