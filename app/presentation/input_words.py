"""Paths of the JSON interface in the words of the trade, and where each figure is edited."""

from app.fields import CATALOGUE

HOW_WORDS = {
    "measured": "Measured",
    "listed": "Listed",
    "estimated": "Estimated",
    "assumed": "Assumed",
}

TORQUE_WORDS = {
    "measured": "Largest torque, measured",
    "power": "Power at a speed",
    "bmep": "Mean effective pressure",
    "curve": "Torque curve",
}

_WHOLE = {
    "state": "State of the comparison",
    "state.speed_rpm": "Crank speed",
    "engine": "Engine",
    "engine.torque": "Torque",
    "engine.torque.points": "Torque curve",
    "engine.strokes": "Strokes, two or four",
    "pack.mounting": "Mounting, on the crankshaft or geared",
    "pack.facing": "Facing material",
    "pack.clamp": "Clamp",
    "pack.clamp.springs": "Springs",
    "pack.clamp.points": "Load points of the disc spring",
    "pack.clamp.weights": "Number of weights",
}
_SPRING = {
    "load_points": "Spring rate from the load points",
    "tester": "Scale of the spring tester",
    "wire_material": "Wire material",
}
_CLAMP_GROUPS = ("load", "disc", "disc_table", "centrifugal")


def input_label(path: str) -> str:
    """What a builder calls the figure at a path.

    >>> input_label("pack.facing_od_mm"), input_label("pack.friction.oiled.sliding")
    ('Facing outside diameter', 'Friction coefficient, oiled, sliding')
    """
    if path in _WHOLE:
        return _WHOLE[path]
    parts = path.split(".")
    if parts[:2] == ["pack", "friction"] and len(parts) == 4:
        return f"Friction coefficient, {parts[2]}, {parts[3]}"
    if parts[:3] == ["pack", "clamp", "springs"] and len(parts) >= 4:
        return _spring_label(parts[3:])
    name = parts[-1]
    groups = _CLAMP_GROUPS if parts[:2] == ["pack", "clamp"] else (parts[0],)
    for group in groups:
        found = CATALOGUE.get(group, {}).get(name)
        if found is not None:
            return found.label
    return name.replace("_", " ").capitalize()


def _spring_label(parts: list[str]) -> str:
    group = int(parts[0])
    where = "" if group == 0 else f", spring group {group + 1}"
    if len(parts) == 1:
        return f"Springs{where}" if where else "Springs"
    name = parts[1]
    found = CATALOGUE["spring"].get(name)
    words = _SPRING.get(name) or (found.label if found else name.replace("_", " "))
    return f"{words}{where}"


def input_dimension(path: str) -> str:
    """Key of ``app.units.DIMENSIONS`` of the figure at a path; "number" where it has no unit."""
    parts = path.split(".")
    if parts[:2] == ["pack", "friction"] or parts[-1] == "tester":
        return "number"
    if parts[-1] == "load_points":
        return "rate"
    if path == "engine.torque.points":
        return "torque"
    groups: tuple[str, ...] = (parts[0],)
    if parts[:3] == ["pack", "clamp", "springs"]:
        groups = ("spring",)
    elif parts[:2] == ["pack", "clamp"]:
        groups = _CLAMP_GROUPS
    for group in groups:
        found = CATALOGUE.get(group, {}).get(parts[-1])
        if found is not None:
            return found.dimension
    return "number"


def anchor(path: str) -> str:
    """Where on the cell page the figure at a path stands.

    >>> anchor("pack.facing_od_mm")
    'input-pack-facing-od-mm'
    """
    return "input-" + path.replace(".", "-").replace("_", "-")


def edit_address(path: str, pack: str, engine: str) -> str:
    """The form where the figure at a path is typed, at its box."""
    noun, _, inside = path.partition(".")
    if noun == "state":
        return ""
    box = inside.replace(".", "-").replace("_", "-")
    record = f"/packs/{pack}/edit" if noun == "pack" else f"/engines/{engine}/edit"
    return f"{record}#f-{box}" if box else record
