"""Reading a view of the board from an address's query: nothing is guessed, nothing is ignored."""

import re
from collections.abc import Collection, Iterable
from typing import Any
from urllib.parse import parse_qsl

from app.comparison.board_view import CELL_NAMES, MOST_PER, BoardView, ChartKind, Order
from app.comparison.varied import VARIED, Varied
from app.comparison.verdict import VERDICTS
from app.errors import BadInput, Problem
from app.units import UnitError, parse

NAMES = (
    "lubrication",
    "friction",
    "wear",
    "radius",
    "speed_rpm",
    "spline_friction",
    "q",
    "mounting",
    "pack",
    "engine",
    "verdict",
    "order",
    "unit",
    "heavy_above",
    "page",
    "per",
    "chart",
    "worst",
)
MANY = ("pack", "engine", "verdict", "worst")
CHOICES: dict[str, tuple[str, ...]] = {
    "lubrication": ("oiled", "dry"),
    "friction": ("sliding", "static"),
    "radius": ("uniform_wear", "uniform_pressure"),
    "mounting": ("crankshaft", "geared"),
    "unit": ("nm", "lbf_ft"),
}
LONGEST_SEARCH = 200
LONGEST_FROM = 4000
__all__ = ["CELL_NAMES", "CHOICES", "MANY", "NAMES", "read_view"]
_ID = re.compile(r"[0-9a-z]{1,32}", re.ASCII)


class _Query:
    """The values of a query by name, and what is wrong with them."""

    def __init__(self, pairs: Iterable[tuple[str, str]], names: Collection[str]) -> None:
        self.values: dict[str, list[str]] = {}
        self.problems: list[Problem] = []
        unknown = []
        for name, text in pairs:
            if name not in names:
                unknown.append(name)
            elif text.strip():
                self.values.setdefault(name, []).append(text.strip())
        for name in dict.fromkeys(unknown):
            self.say("", f"“{name[:40]}” is no setting here. Use: {', '.join(names)}.")
        for name, texts in self.values.items():
            if len(texts) > 1 and name not in (*MANY, "wear"):
                self.say(name, f"Give {name} once; it stands {len(texts)} times in the address.")

    def say(self, name: str, message: str) -> None:
        self.problems.append(Problem(name, message))

    def one(self, name: str) -> str | None:
        texts = self.values.get(name)
        return texts[0] if texts else None

    def choice(self, name: str) -> Any:
        text = self.one(name)
        if text is None or text in CHOICES[name]:
            return text
        self.say(name, f"Write {' or '.join(CHOICES[name])} for {name}.")
        return None

    def figure(self, name: str, dimension: str, above: float) -> float | None:
        text = self.one(name)
        if text is None:
            return None
        try:
            value = parse(text, dimension).value
        except UnitError as error:
            self.say(name, error.message)
            return None
        if value <= above:
            self.say(name, f"Write a number above {above:g}.")
            return None
        return value

    def whole(self, name: str, most: int) -> int | None:
        text = self.one(name)
        if text is None:
            return None
        if not re.fullmatch(r"[0-9]{1,9}", text, re.ASCII) or not 1 <= int(text) <= most:
            self.say(name, f"Write a whole number from 1 to {most} for {name}.")
            return None
        return int(text)

    def ids(self, name: str) -> tuple[str, ...]:
        texts = tuple(dict.fromkeys(self.values.get(name, ())))
        for text in texts:
            if not _ID.fullmatch(text):
                self.say(name, f"“{text[:40]}” is not the id of a record.")
        return texts

    def wear(self) -> float | None:
        """Wear in mm; None is worn to the limit.

        The form has a list of words and a box for millimetres; what the box says goes.
        """
        texts = self.values.get("wear", [])
        words = [text for text in texts if text in ("new", "worn", "stated")]
        figures = [text for text in texts if text not in words]
        if len(words) > 1 or len(figures) > 1:
            self.say("wear", "Write new, worn, or one wear of the stack in millimetres.")
        elif figures:
            return self._stated_wear(figures[0])
        elif words == ["stated"]:
            self.say("wear", "Write the wear of the whole stack in millimetres, such as 0.4.")
        return None if words == ["worn"] else 0.0

    def _stated_wear(self, text: str) -> float:
        try:
            value = parse(text, "length").value
        except UnitError:
            self.say("wear", "Write new, worn, or the wear of the stack in millimetres, like 0.4.")
            return 0.0
        if value < 0:
            self.say("wear", "Write the wear of the stack as 0 mm or more.")
        return value

    def search(self) -> str:
        text = " ".join((self.one("q") or "").split())
        if len(text) > LONGEST_SEARCH:
            self.say("q", f"Write at most {LONGEST_SEARCH} characters to search for.")
        return text

    def verdicts(self) -> Any:
        texts = tuple(dict.fromkeys(self.values.get("verdict", ())))
        if any(text not in VERDICTS for text in texts):
            self.say("verdict", "Write holds, tight, slips or unknown for verdict.")
        return texts

    def worst(self) -> tuple[Varied, ...]:
        """What is varied, in one order however it was asked for; 1 varies everything."""
        texts = self.values.get("worst", [])
        if any(text not in (*VARIED, "1") for text in texts):
            self.say("worst", f"Write {', '.join(VARIED)}, or 1 for all of them, for worst.")
        return VARIED if "1" in texts else tuple(name for name in VARIED if name in texts)

    def order(self) -> Order | None:
        text = self.one("order")
        if text is None:
            return None
        by, colon, engine = text.removeprefix("-").partition(":")
        falling = text.startswith("-")
        if by == "name" and not colon:
            return Order("name", None, falling)
        if by == "capacity" and not colon:
            return Order("capacity", None, falling)
        if by == "price" and not colon:
            return Order("price", None, falling)
        if by == "margin" and _ID.fullmatch(engine):
            return Order("margin", engine, falling)
        self.say(
            "order",
            "Write name, capacity, price or margin:<engine id> for order; a − sign before "
            "it turns it round, like -capacity.",
        )
        return None

    def came_from(self) -> str:
        """The board's query to go back to, read and written anew; "" where it can't be read.

        It is never an address of its own, so it leads nowhere but to a view of the board.
        """
        text = self.one("from") or ""
        if not text or len(text) > LONGEST_FROM:
            return ""
        try:
            return read_view(parse_qsl(text)).address()[2:]
        except BadInput:
            return ""

    def chart(self) -> tuple[ChartKind, str] | None:
        text = self.one("chart")
        if text is None:
            return None
        kind, _, key = text.partition(":")
        if kind == "engine" and _ID.fullmatch(key):
            return "engine", key
        if kind == "pack" and _ID.fullmatch(key):
            return "pack", key
        self.say("chart", "Write engine:<id> or pack:<id> for chart.")
        return None


def read_view(pairs: Iterable[tuple[str, str]], names: Collection[str] = NAMES) -> BoardView:
    """The view that a query asks for; what is blank is as usual.

    Args:
        pairs: names and values in their order.
        names: those that are taken; CELL_NAMES for a single cell.

    Raises:
        BadInput: with every refusal at once; a problem's field is the parameter's name.
    """
    query = _Query(pairs, names)
    usual = BoardView()
    view = BoardView(
        lubrication=query.choice("lubrication") or usual.lubrication,
        friction=query.choice("friction") or usual.friction,
        wear_mm=query.wear(),
        radius=query.choice("radius") or usual.radius,
        speed_rpm=query.figure("speed_rpm", "speed", 0.0),
        spline_friction=query.figure("spline_friction", "number", 0.0),
        q=query.search(),
        mounting=query.choice("mounting"),
        packs=query.ids("pack"),
        engines=query.ids("engine"),
        verdicts=query.verdicts(),
        order=query.order(),
        unit=query.choice("unit") or usual.unit,
        heavy_above=query.figure("heavy_above", "ratio", 0.0),
        page=query.whole("page", 1_000_000),
        per=query.whole("per", MOST_PER) or usual.per,
        chart=query.chart(),
        worst=query.worst(),
        came_from=query.came_from(),
    )
    if query.problems:
        raise BadInput(query.problems)
    return view
