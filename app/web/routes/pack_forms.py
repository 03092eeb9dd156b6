"""Adding, copying and changing a pack by its form."""

import re
from collections.abc import Mapping
from typing import Any

from fastapi import APIRouter
from sqlmodel import Session

from app.documents import Pack
from app.records.source_queries import active_facings
from app.services.catalogue import packs
from app.web.forms import spring_form
from app.web.forms.clamp_form import POINTS
from app.web.forms.form_pages import FormPages
from app.web.forms.form_sections import PACK_SECTIONS, section_views
from app.web.forms.form_views import facing_options, group_views, wire_options
from app.web.forms.pack_form import pack_texts, read_pack
from app.web.forms.reader import FormReader
from app.web.forms.record_forms import ACTION, RecordKind
from app.web.record_routes import add_form_pages

router = APIRouter()

_ON_A_GROUP = re.compile(r"(remove-group|more-rows)-([0-9]{1,3})")


def change_form(form: FormReader) -> str | None:
    """Do what a button of the form itself asks for: the place to go on at, None to save."""
    asked = form.raw.pop(ACTION, "")
    if asked == "add-group":
        return f"{spring_form.HEAD}.{spring_form.add_group(form)}"
    if asked == "more-points":
        return spring_form.more_rows(form, POINTS)
    found = _ON_A_GROUP.fullmatch(asked)
    if found is None:
        return None
    head = f"{spring_form.HEAD}.{found[2]}"
    if found[1] == "more-rows":
        return spring_form.more_rows(form, f"{head}.load_points")
    spring_form.remove_group(form, int(found[2]))
    return f"{spring_form.HEAD}.{spring_form.groups_shown(form)[-1]}"


def more(session: Session, form: FormReader) -> Mapping[str, Any]:
    """What the form shows besides: facings, wires, groups of springs, rows of readings."""
    names = [row["name"] for row in active_facings(session)]
    return {
        "facings": facing_options(names, form.raw.get("facing", "").strip()),
        "wires": wire_options(form),
        "groups": group_views(form),
        "points": tuple(spring_form.rows_shown(form, POINTS)),
        "sections": section_views(PACK_SECTIONS, form),
    }


PAGES = FormPages(
    RecordKind(packs, Pack, pack_texts, read_pack),
    "/packs",
    "pages/packs/form.html",
    {
        "lined_faces_per_plate": "2",
        "clamp.disc.in_parallel": "1",
        "clamp.disc.in_series": "1",
    },
    more,
    change_form,
)

add_form_pages(router, PAGES)
