"""A pack as somebody typed it, and the shortest ways to read it."""

import pytest

from app.documents import Pack
from app.errors import BadInput
from app.web.forms.pack_form import read_pack
from app.web.forms.reader import FormReader

GROUP = "clamp.springs.0"
TYPED = {
    "name": "Six-spring pack",
    "mounting": "geared",
    "stamp_by": "Ada",
    "stamp_at": "2026-11-24",
    "stamp_with": "calliper 150",
    "stamp_how": "measured",
    "friction_plates": "6",
    "lined_faces_per_plate": "2",
    "plain_plates": "5",
    "facing_od_mm": "115",
    "facing_od_mm__doubt": "0.05",
    "facing_id_mm": "3 3/4 in",
    "facing_id_mm__doubt": "2 %",
    "facing_id_mm__how": "listed",
    "clamp.kind": "coil",
    f"{GROUP}.count": "6",
    f"{GROUP}.free_length_mm": "1 1/2",
    f"{GROUP}.free_length_mm__unit": "in",
    f"{GROUP}.installed_length_mm": "30,5",
    f"{GROUP}.rate_n_per_mm": "30 lbf/in",
    f"{GROUP}.tester_limit": "2 %",
}


def pack_of(typed: dict[str, str], stored: Pack | None = None) -> Pack:
    return read_pack(FormReader(typed), stored).document


def refusals_of(typed: dict[str, str]) -> dict[str, str]:
    form = FormReader(typed)
    with pytest.raises(BadInput) as refused:
        read_pack(form)
    assert refused.value.problems == form.problems
    return {problem.field: problem.message for problem in form.problems}
