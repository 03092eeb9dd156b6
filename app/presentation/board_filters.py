"""The board's filter form: what it offers, what is chosen, what is wrong with what was typed."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from app.comparison.board import EngineEntry
from app.comparison.board_view import BoardView
from app.errors import Problem
from app.presentation.board_failed import VERDICT_WORDS
from app.presentation.numbers import number_text

LUBRICATIONS = (("oiled", "Oiled"), ("dry", "Dry"))
FRICTIONS = (("sliding", "Sliding"), ("static", "Static"))
WEARS = (("new", "New"), ("worn", "Worn to the limit"))
STATED = ("stated", "As stated below")
RADII = (("uniform_wear", "Run in (uniform wear)"), ("uniform_pressure", "New, flat"))
MOUNTINGS = (("", "Any"), ("crankshaft", "On the crankshaft"), ("geared", "Geared"))
VERDICTS = tuple(VERDICT_WORDS.items())
WORST = (
    ("lubrication", "oiled and dry"),
    ("friction", "sliding and static"),
    ("wear", "new and worn"),
)
_MORE = ("mounting", "radius", "speed_rpm", "spline_friction", "heavy_above", "wear_mm")


@dataclass(frozen=True)
class FilterForm:
    """The form as it was sent, for drawing it again.

    Attributes:
        raw: text by name; the stated wear is `wear_mm`, apart from the list `wear`.
        ticked: values of the boxes that are ticked, by name.
        engines: (id, name) of every engine.
        heavy_usual: the limit that is used where none is typed.
        problems: what is wrong, by name.
    """

    raw: dict[str, str]
    ticked: dict[str, tuple[str, ...]]
    engines: tuple[tuple[str, str], ...]
    heavy_usual: str
    problems: tuple[Problem, ...] = ()
    lubrications: Sequence[tuple[str, str]] = field(default=LUBRICATIONS)
    frictions: Sequence[tuple[str, str]] = field(default=FRICTIONS)
    radii: Sequence[tuple[str, str]] = field(default=RADII)
    mountings: Sequence[tuple[str, str]] = field(default=MOUNTINGS)
    verdicts: Sequence[tuple[str, str]] = field(default=VERDICTS)
    worst: Sequence[tuple[str, str]] = field(default=WORST)

    def message_for(self, name: str) -> str | None:
        """What is wrong with one field."""
        found = [p.message for p in self.problems if p.field == name]
        return " ".join(found) or None

    def caution_for(self, _name: str) -> str | None:
        """Nothing here is unusual."""
        return None

    @property
    def wears(self) -> Sequence[tuple[str, str]]:
        """The words for wear; a stated one is among them only while it is in use."""
        return (*WEARS, STATED) if self.raw.get("wear") == "stated" else WEARS

    @property
    def more_open(self) -> bool:
        """Whether a setting of the folded part is in use or wrong."""
        usual = {"radius": "uniform_wear", "wear_mm": ""}
        used = any(self.raw.get(name, "") != usual.get(name, "") for name in _MORE)
        wrong = any(p.field in (*_MORE, "wear", "worst") for p in self.problems)
        return used or wrong or bool(self.ticked.get("worst"))


def form_of_view(view: BoardView, engines: Iterable[EngineEntry], heavy_usual: float) -> FilterForm:
    """The form that asks for a view."""
    stated = view.wear not in ("new", "worn")
    raw = {
        "lubrication": view.lubrication,
        "friction": view.friction,
        "wear": "stated" if stated else view.wear,
        "wear_mm": view.wear if stated else "",
        "radius": view.radius,
        "speed_rpm": number_text(view.speed_rpm) if view.speed_rpm is not None else "",
        "spline_friction": number_text(view.spline_friction)
        if view.spline_friction is not None
        else "",
        "q": view.q,
        "mounting": view.mounting or "",
        "heavy_above": number_text(view.heavy_above) if view.heavy_above is not None else "",
    }
    return FilterForm(
        raw,
        {"verdict": view.verdicts, "engine": view.engines, "worst": view.worst},
        tuple((e.public_id, e.name) for e in engines),
        number_text(heavy_usual),
    )


def form_as_sent(
    pairs: Iterable[tuple[str, str]],
    problems: Iterable[Problem],
    engines: Iterable[EngineEntry],
    heavy_usual: float,
) -> FilterForm:
    """The form just as it was sent, with what is wrong with it."""
    raw: dict[str, str] = {
        "lubrication": "oiled",
        "friction": "sliding",
        "wear": "new",
        "radius": "uniform_wear",
    }
    ticked: dict[str, tuple[str, ...]] = {}
    for name, text in pairs:
        if name == "wear" and text not in ("new", "worn", "stated"):
            raw["wear_mm"] = text
        elif name in ("verdict", "engine", "pack", "worst"):
            ticked[name] = (*ticked.get(name, ()), text)
        else:
            raw[name] = text
    if raw.get("wear_mm"):
        raw["wear"] = "stated"
    told = tuple(
        Problem("wear_mm", p.message) if p.field == "wear" and raw.get("wear_mm") else p
        for p in problems
    )
    return FilterForm(
        raw, ticked, tuple((e.public_id, e.name) for e in engines), number_text(heavy_usual), told
    )
