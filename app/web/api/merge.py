"""JSON merge patch (RFC 7396), and what it means for a figure with its doubt."""

from typing import Any

FIGURE = {"value", "plus_minus", "std", "how"}


def merged(target: Any, patch: Any) -> Any:
    """`target` changed as `patch` says: null takes a key out, an object goes on inside, the rest
    replaces.

    Neither is altered. A bare number is the figure {"value": number}. A new value does not keep
    the words that the old one was typed in, nor the usual doubt that was filled in for it; a new
    doubt is no usual one.

    >>> merged({"a": 1, "b": {"c": 2, "d": 3}}, {"a": None, "b": {"c": 4}})
    {'b': {'c': 4, 'd': 3}}
    >>> merged({"value": 2, "plus_minus": 0.1, "typed": "2 mm"}, {"value": 3})
    {'value': 3, 'plus_minus': 0.1}
    >>> merged(2, {"std": 0.1})
    {'value': 2, 'std': 0.1}
    """
    if not isinstance(patch, dict):
        return patch
    standing = _standing(target, patch)
    for name, change in patch.items():
        if change is None:
            standing.pop(name, None)
        else:
            standing[name] = merged(standing.get(name), change)
    return standing


def _standing(target: Any, patch: dict[str, Any]) -> dict[str, Any]:
    """A copy of what the patch goes into, without what the patch makes untrue."""
    if isinstance(target, int | float) and not isinstance(target, bool) and FIGURE & set(patch):
        return {"value": target}
    if not isinstance(target, dict):
        return {}
    untrue = set()
    if "value" in patch:
        untrue.add("typed")
    if "plus_minus" in patch or "std" in patch:
        untrue.add("typed_doubt")
    if target.get("default_doubt") and FIGURE & set(patch):
        untrue |= {"plus_minus", "default_doubt"}
    return {name: value for name, value in target.items() if name not in untrue}
