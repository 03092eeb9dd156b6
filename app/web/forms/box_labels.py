"""What a builder calls the box of a form, by the box's name."""

import re

from app.fields import CATALOGUE
from app.presentation.input_words import input_label
from app.presentation.teardown import BY_KEY

_WORDS = {
    "name": "Name",
    "notes": "Notes",
    "facing": "Facing material",
    "mounting": "Mounting",
    "strokes": "Strokes",
    "surfaces_reason": "Why the count of faces is another",
    "clamp.kind": "What presses the plates together",
    "torque.kind": "Which torque figure is known",
    "torque.curve.at": "Where the curve was measured",
    "stamp_by": "Measured by",
    "stamp_at": "Measured on",
    "stamp_with": "Measured with",
    "stamp_how": "How known",
    "lined_faces_per_plate": "Lined faces of each friction plate",
    "torque.curve.points": "Points of the curve",
    "clamp.disc_table.points": "Load points",
    "seller": "Seller",
    "currency": "Currency",
    "date": "Seen on",
    "claim": "Claim",
    "link": "Address on the web",
    "price": "Price",
    "claimed_cc_low": "Claimed from",
    "claimed_cc_high": "Claimed up to",
    "pack": "Pack",
    "by": "Tested by",
    "lubrication": "Plates",
    "friction": "Friction",
    "direction": "Direction",
    "instrument": "Instrument",
    "oil_on_plates": "Oil on the plates",
    "heat": "Cold or hot",
    "facings": "Facings new or worn",
    "excluded_reason": "Why this run is left out",
    "readings": "Readings",
    "readings.unit": "Unit of the readings",
    "range_low_nm": "Range from",
    "range_high_nm": "Range to",
    "relative_accuracy": "Accuracy",
    "resolution_nm": "Resolution",
}

_ENDS = {"__unit": ", unit", "__doubt": ", doubt", "__how": ", how it is known"}
_KIND = re.compile(
    r"(clamp|torque)\.(?:load|disc_table|disc|centrifugal|measured|power|bmep|curve)\.(.*)"
)
_TORQUE = re.compile(r"readings\.([0-9]+)\.(kind|low|high|as_read)")
_READING = re.compile(r"(.*)points\.([0-9]+)\.(deflection_mm|force_n)")


def box_label(name: str) -> str:
    """The label of a box.

    >>> box_label("facing_od_mm__doubt"), box_label("clamp.load.force_n")
    ('Facing outside diameter, doubt', 'Clamp load')
    >>> box_label("clamp.springs.1.load_points.0.force_n")
    'Load points, row 1, force'
    """
    for end, words in _ENDS.items():
        if name.endswith(end):
            return box_label(name.removesuffix(end)) + words
    if name in _WORDS:
        return _WORDS[name]
    reading = _READING.fullmatch(name)
    if reading:
        part = "force" if reading[3] == "force_n" else "deflection"
        return f"Load points, row {int(reading[2]) + 1}, {part}"
    torque = _TORQUE.fullmatch(name)
    if torque:
        part = {"high": ", upper end", "kind": ", kind"}.get(torque[2], "")
        return f"Reading {int(torque[1]) + 1}{part}"
    check = BY_KEY.get(name.partition(".")[0])
    if check is not None:
        return check.question.rstrip("?")
    found = _KIND.fullmatch(name)
    path = name if found is None else f"{found[1]}.{found[2]}"
    engine = path.startswith("torque.") or path in CATALOGUE["engine"]
    noun = "engine" if engine and path not in CATALOGUE["pack"] else "pack"
    return input_label(f"{noun}.{path}")
