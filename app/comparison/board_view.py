"""What of the board is asked for: state, filters, order, units; for page, CSV and JSON alike.

It is an address's query, read and checked. A link is a view: `address` writes back just what was
asked for, without what is usual anyway.
"""

from dataclasses import dataclass, replace
from typing import Any, Literal
from urllib.parse import urlencode

from app.comparison.varied import Varied, states_of
from app.comparison.verdict import Verdict
from app.mechanics.inputs import FrictionKind, Lubrication, Mounting, RadiusModel, State

TorqueUnit = Literal["nm", "lbf_ft"]
ChartKind = Literal["engine", "pack"]
CELL_NAMES = ("lubrication", "friction", "wear", "radius", "speed_rpm", "spline_friction", "unit",
              "heavy_above", "from")
"""Parts of a query that a single cell shares with the board, and the board's own, to go back."""
USUAL_PER = 50
MOST_PER = 200

OrderBy = Literal["name", "capacity", "price", "margin"]


@dataclass(frozen=True, slots=True)
class Order:
    """How packs are ordered: by "name", "capacity" [N·m], "price", or "margin" over one engine."""

    by: OrderBy = "name"
    engine: str | None = None
    falling: bool = False

    @property
    def text(self) -> str:
        """The order as an address writes it.

        >>> Order("margin", "abc", True).text
        '-margin:abc'
        """
        head = "-" if self.falling else ""
        return f"{head}{self.by}" + (f":{self.engine}" if self.engine is not None else "")


@dataclass(frozen=True, slots=True)
class BoardView:
    """A view of the board.

    Attributes:
        wear_mm: wear of the whole stack [mm]; None: each pack worn to its own limit.
        speed_rpm: crank speed [r/min] for packs whose clamp depends on it.
        spline_friction: coefficient at the splines [1]; None leaves their loss out.
        q: text that a pack's name must contain.
        packs: public ids to keep; none: all. `engines` likewise.
        verdicts: keep packs with such a cell among the engines; none: all.
        order: None: by name, or by margin, largest first, where one engine is asked for.
        unit: in which torques are shown; figures stay in N·m.
        heavy_above: ratio without the service factor [1] above which a pack is called heavy;
            None: the team's limit.
        page: from 1; None: none was asked for.
        chart: the engine or the pack that is drawn, by its public id.
        worst: what of the state is varied to show the worst; none: the state as it stands.
        came_from: query of the board that a single cell was opened from, read and written anew;
            no part of the view itself.
    """

    lubrication: Lubrication = "oiled"
    friction: FrictionKind = "sliding"
    wear_mm: float | None = 0.0
    radius: RadiusModel = "uniform_wear"
    speed_rpm: float | None = None
    spline_friction: float | None = None
    q: str = ""
    mounting: Mounting | None = None
    packs: tuple[str, ...] = ()
    engines: tuple[str, ...] = ()
    verdicts: tuple[Verdict, ...] = ()
    order: Order | None = None
    unit: TorqueUnit = "nm"
    heavy_above: float | None = None
    page: int | None = None
    per: int = USUAL_PER
    chart: tuple[ChartKind, str] | None = None
    worst: tuple[Varied, ...] = ()
    came_from: str = ""

    @property
    def state(self) -> State:
        """The state of the comparison as the mechanics take it."""
        return State(
            self.lubrication, self.friction, self.wear_mm, self.radius, self.speed_rpm,
            self.spline_friction,
        )

    @property
    def states(self) -> tuple[State, ...]:
        """The states that the worst is taken of; one where none is asked for."""
        return states_of(self.state, self.worst)

    def in_state(self, state: State) -> "BoardView":
        """The same view in one state, a worst one's for instance."""
        return replace(self, lubrication=state.lubrication, friction=state.friction,
                       wear_mm=state.wear_mm, worst=())

    @property
    def wear(self) -> str:
        """Wear as an address writes it: new, worn, or millimetres."""
        return wear_text(self.wear_mm)

    def but(self, **changes: Any) -> "BoardView":
        """The same view with some of it changed; where other packs may come, from page 1."""
        if "page" not in changes and set(changes) - {"unit", "chart"}:
            changes["page"] = None
        return replace(self, **changes)

    def pairs(self) -> list[tuple[str, str]]:
        """Names and values of the query that asks for this view, what is usual left out."""
        usual = BoardView()
        found = [
            (name, value)
            for name, value, default in (
                ("lubrication", self.lubrication, usual.lubrication),
                ("friction", self.friction, usual.friction),
                ("wear", self.wear, usual.wear),
                ("radius", self.radius, usual.radius),
                ("speed_rpm", number(self.speed_rpm), ""),
                ("spline_friction", number(self.spline_friction), ""),
                ("q", self.q, ""),
                ("mounting", self.mounting or "", ""),
            )
            if value != default
        ]
        found += [("worst", name) for name in self.worst]
        found += [("pack", key) for key in self.packs]
        found += [("engine", key) for key in self.engines]
        found += [("verdict", key) for key in self.verdicts]
        if self.order is not None:
            found.append(("order", self.order.text))
        if self.unit != usual.unit:
            found.append(("unit", self.unit))
        if self.heavy_above is not None:
            found.append(("heavy_above", number(self.heavy_above)))
        if self.page is not None and self.page > 1:
            found.append(("page", str(self.page)))
        if self.per != usual.per:
            found.append(("per", str(self.per)))
        if self.chart is not None:
            found.append(("chart", ":".join(self.chart)))
        return found

    def address(self, path: str = "/") -> str:
        """The address of this view.

        >>> BoardView(wear_mm=None, q="a b").address()
        '/?wear=worn&q=a+b'
        """
        query = urlencode(self.pairs(), safe=":")
        return f"{path}?{query}" if query else path

    def state_pairs(self) -> list[tuple[str, str]]:
        """The part of the query that a single cell shares with the board."""
        found = [(name, value) for name, value in self.pairs() if name in CELL_NAMES]
        return [*found, ("from", self.came_from)] if self.came_from else found

    @property
    def cell_query(self) -> str:
        """What follows a cell's path for this view's state, with its question mark; or nothing."""
        query = urlencode(self.state_pairs(), safe=":")
        return f"?{query}" if query else ""

    def cell_address(self, pack: str, engine: str) -> str:
        """Address of one cell's working in this view's state."""
        return f"/cell/{pack}/{engine}{self.cell_query}"


def wear_text(wear_mm: float | None) -> str:
    """Wear of a state as an address writes it.

    >>> wear_text(None), wear_text(0.0), wear_text(0.4)
    ('worn', 'new', '0.4')
    """
    if wear_mm is None:
        return "worn"
    return "new" if wear_mm == 0.0 else number(wear_mm)


def number(value: float | None) -> str:
    """A number as an address writes it: exact, without a needless point; "" for None.

    >>> number(3.0), number(0.4), number(None)
    ('3', '0.4', '')
    """
    if value is None:
        return ""
    return str(int(value)) if value == int(value) else repr(value)
