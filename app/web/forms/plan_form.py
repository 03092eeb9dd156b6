"""The address of a test plan: what it asks for, read with care, and the short form of it.

Link n of the chain has the names ``chain.n.kind``, ``.name``, and ``.max_nm``, or ``.diameter_mm``
or ``.across_flats_mm`` with ``.yield_mpa``.
"""

from dataclasses import dataclass, replace
from typing import Any, cast, get_args

from app.comparison.slip_plan import Link
from app.fields import FRICTION, SLIP_TEST, TEST_CHAIN
from app.fields import field as known_field
from app.fields.doubts import default_doubt
from app.mechanics.inputs import FrictionKind, Lubrication, Quantity, State
from app.mechanics.tables import DriveSquare, drive_squares
from app.presentation.numbers import number_text
from app.web.forms.figures import plain
from app.web.forms.reader import FormReader

HEAD = "chain"
KINDS = (
    ("gauge", "Gauge: its range"),
    ("rated", "Part with a rated torque"),
    ("round", "Round shaft"),
    ("square", "Square"),
    ("hexagon", "Hexagon"),
)
_SIZES = {"round": "diameter_mm", "square": "across_flats_mm", "hexagon": "across_flats_mm"}
PARTS = ("kind", "name", "max_nm", "diameter_mm", "across_flats_mm", "yield_mpa")
NUMBERS = ("seconds", "max_temperature_rise_k", "arm_m")
WEAR = ("new", "worn")
MU = {
    "friction": replace(FRICTION["friction"], help="Blank: the pack's own, or its facing's."),
    "mu_limit": replace(
        FRICTION["friction"], name="mu_limit", label="± of it",
        help="Blank: the usual doubt of an assumed one.", usual=(0.0, 0.3)),
}
"""The friction coefficient of a plan and its limit."""
SPARE_ROWS = 1
LEAST_ROWS = 2
LONGEST_NAME = 200
PLAIN = ("pack", "lubrication", "friction", "wear", "mu", "mu_limit", "springs",
         "speed_rpm", "plate_mass_kg", *NUMBERS)
ACTION = ("do", "preset")


@dataclass(frozen=True)
class PlanAsked:
    """What is asked: pack, state, chain and the run; `rows` are the form's rows of the chain.

    `friction` is the coefficient that is taken for this plan alone, None for the pack's.
    """

    pack: str
    state: State
    chain: tuple[Link, ...]
    rows: tuple[int, ...]
    springs: int | None
    speed_rpm: float | None
    seconds: float | None
    plate_mass_kg: float | None
    max_temperature_rise_k: float | None
    arm_m: float | None
    friction: Quantity | None = None

    def box(self, path: str) -> str:
        """Name of the form's box for a path of the plan's refusals."""
        parts = path.split(".")
        if parts[0] == HEAD and len(parts) > 1 and parts[1].isdecimal():
            parts[1] = str(self.rows[int(parts[1])])
        return {"springs_fitted": "springs", "state.speed_rpm": "speed_rpm"}.get(
            path, ".".join(parts))


def read_plan(form: FormReader) -> PlanAsked:
    """The plan that an address asks for; what can't be read is said at its box."""
    for name in form.raw:
        if name not in PLAIN and name not in ACTION and not _is_of_chain(name):
            form.say("", f"A plan has no “{name[:40]}”: take it out of the address.")
    lubrication = form.choice("lubrication", get_args(Lubrication)) or "oiled"
    friction = form.choice("friction", get_args(FrictionKind)) or "sliding"
    wear = form.choice("wear", WEAR) or "new"
    speed = form.number("speed_rpm", SLIP_TEST["speed_rpm"])
    state = State(
        cast("Lubrication", lubrication), cast("FrictionKind", friction),
        0.0 if wear == "new" else None, speed_rpm=speed or None,
    )
    numbers = {name: form.number(name, TEST_CHAIN[name]) for name in NUMBERS}
    chain, rows = _chain(form)
    return PlanAsked(
        pack=form.text("pack") or "",
        state=state,
        chain=chain,
        rows=rows,
        springs=form.count("springs", SLIP_TEST["springs_fitted"]),
        speed_rpm=speed,
        plate_mass_kg=form.number("plate_mass_kg", known_field("pack", "plate_mass_kg")),
        **numbers,
        friction=_friction(form),
    )


def _friction(form: FormReader) -> Quantity | None:
    """The friction coefficient that is taken for this plan, with the usual doubt where blank."""
    value = form.number("mu", MU["friction"])
    limit = form.number("mu_limit", MU["mu_limit"])
    if value is None:
        if limit is not None and not form.raw.get("mu", "").strip():
            form.say("mu", "Write the friction coefficient that this doubt belongs to.")
        return None
    if limit is None:
        limit = default_doubt("friction", "assumed", value)
    return Quantity(value, plus_minus=limit, how="assumed")


def _is_of_chain(name: str) -> bool:
    parts = name.split(".")
    return (len(parts) == 3 and parts[0] == HEAD and parts[1].isdecimal() and len(parts[1]) < 4
            and parts[2] in PARTS)


def rows_filled(form: FormReader) -> list[int]:
    """Numbers of the links in which any figure or name stands."""
    return [
        n for n in form.places(HEAD)
        if any(form.raw.get(f"{HEAD}.{n}.{part}", "").strip() for part in PARTS[1:])
    ]


def rows_shown(form: FormReader) -> list[int]:
    """Links that the form shows: those that are filled, and a spare one."""
    last = max(rows_filled(form), default=-1)
    return list(range(max(last + 1 + SPARE_ROWS, LEAST_ROWS)))


def _chain(form: FormReader) -> tuple[tuple[Link, ...], tuple[int, ...]]:
    found: list[Link] = []
    rows: list[int] = []
    for n in rows_filled(form):
        head = f"{HEAD}.{n}."
        kind = form.choice(f"{head}kind", [key for key, _ in KINDS]) or "gauge"
        name = form.text(f"{head}name", longest=LONGEST_NAME) or f"{_word(kind)} {n + 1}"
        more: dict[str, Any] = {}
        if kind in _SIZES:
            size = _SIZES[kind]
            more["size_mm"] = _needed(form, head, size)
            more["yield_mpa"] = _needed(form, head, "yield_mpa")
        else:
            more["max_nm"] = _needed(form, head, "max_nm")
        if None not in more.values():
            found.append(Link(cast("Any", kind), name, **more))
            rows.append(n)
    return tuple(found), tuple(rows)


def _needed(form: FormReader, head: str, part: str) -> float | None:
    value = form.number(f"{head}{part}", TEST_CHAIN[part])
    if value is None and form.message_for(f"{head}{part}") is None:
        label = TEST_CHAIN[part].label
        form.say(f"{head}{part}", f"{label}: write it too, or clear this link.")
    return value


def _word(kind: str) -> str:
    return {"gauge": "Gauge", "rated": "Part", "round": "Shaft", "square": "Square",
            "hexagon": "Hexagon"}[kind]


def address_pairs(form: FormReader) -> list[tuple[str, str]]:
    """The address without what is blank, without buttons, its links counted anew."""
    pairs = [(name, form.raw[name].strip()) for name in PLAIN if form.raw.get(name, "").strip()]
    for place, n in enumerate(rows_filled(form)):
        pairs += [
            (f"{HEAD}.{place}.{part}", text)
            for part in PARTS
            if (text := form.raw.get(f"{HEAD}.{n}.{part}", "").strip())
        ]
    return pairs


def square_name(square: DriveSquare) -> str:
    """What a drive square is called.

    >>> square_name(drive_squares()[1])
    '10 mm (3/8 in) drive square'
    """
    return f"{number_text(square.size_mm)} mm ({square.size_inch} in) drive square"


def preset_options() -> tuple[tuple[str, str], ...]:
    """The published drive squares to choose from, with their test torques."""
    return tuple(
        (f"square-{plain(s.size_mm)}",
         f"{square_name(s)}, {number_text(s.test_torque_nm)} N·m, from memory, not confirmed")
        for s in drive_squares()
    )


def add_link(form: FormReader, kind: str, name: str, max_nm: float) -> None:
    """Put one more link with a limit at the end of the chain."""
    n = max(rows_filled(form), default=-1) + 1
    for part, text in (("kind", kind), ("name", name), ("max_nm", plain(max_nm))):
        form.raw[f"{HEAD}.{n}.{part}"] = text


def drive_square(key: str) -> DriveSquare | None:
    """The drive square that a preset names."""
    return next((s for s in drive_squares() if f"square-{plain(s.size_mm)}" == key), None)
