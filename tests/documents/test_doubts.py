from typing import Annotated, Any, get_args, get_origin

import pytest
from pydantic import TypeAdapter, ValidationError
from pydantic.fields import FieldInfo

from app import documents
from app.documents import Document, Engine, Pack, Q, SpringGroup
from app.documents.doubts import with_default, with_defaults
from app.errors import BadInput
from app.fields import DefaultDoubt, field
from tests.factories import make_pack, spring_group

LENGTH = field("pack", "facing_od_mm")


def test_only_how_without_a_doubt_asks_for_the_usual_one() -> None:
    assert with_default(Q(value=60.0), LENGTH, "") == Q(value=60.0)
    for known in ({"plus_minus": 0.0}, {"std": 0.2}):
        q = Q.model_validate({"value": 60, "how": "measured", **known})
        assert with_default(q, LENGTH, "") is q
    filled = with_default(Q(value=60.0, how="measured"), LENGTH, "")
    assert (filled.plus_minus, filled.default_doubt) == (0.05, True)


def test_the_team_s_own_doubts_come_first() -> None:
    own = {("length", "measured"): DefaultDoubt("length", "measured", 0.2, None, "")}
    assert with_default(Q(value=60.0, how="measured"), LENGTH, "", own).plus_minus == 0.2


def test_a_doubt_as_large_as_the_figure_is_asked_for_at_its_path() -> None:
    springs = [spring_group(wire_mm={"value": 0.01, "how": "measured"}, outside_mm=1)]
    with pytest.raises(BadInput) as caught:
        make_pack(clamp={"kind": "coil", "springs": springs}).to_inputs()
    (problem,) = caught.value.problems
    assert problem.field == "clamp.springs.0.wire_mm"
    assert "±0.01" in problem.message


def test_every_figure_of_a_document_is_filled_wherever_it_stands() -> None:
    filled = with_defaults(make_pack())
    assert filled.facing_id_mm is not None
    assert filled.facing_id_mm.default_doubt
    assert filled.facing_id_mm.with_what == "calliper"
    assert filled.clamp is not None
    assert filled.clamp.kind == "coil"
    wire = filled.clamp.springs[0].wire_mm
    assert wire is not None
    assert wire.plus_minus == 0.01
    assert with_defaults(filled) is filled


def figures(model: type[Document]) -> dict[str, TypeAdapter[Any]]:
    """The fields of a document that hold a figure, each with what checks it."""
    return {
        name: TypeAdapter(Annotated[(part.annotation, None, *part.metadata)])
        for name, part in model.model_fields.items()
        if Q in {get_args(t)[0] if get_origin(t) is Annotated else t for t in _parts(part)}
    }


def _parts(part: FieldInfo) -> tuple[Any, ...]:
    return (part.annotation, *get_args(part.annotation))


def taken(checks: TypeAdapter[Any], value: float) -> bool:
    try:
        checks.validate_python(value)
    except ValidationError:
        return False
    return True


MODELS = [
    model
    for name in documents.__all__
    if isinstance(model := getattr(documents, name), type) and issubclass(model, Document)
]


@pytest.mark.parametrize("model", MODELS, ids=lambda model: model.__name__)
def test_the_catalogue_knows_every_figure_and_the_same_bounds(model: type[Document]) -> None:
    """The documents refuse by code of their own; it must not drift from the list of figures."""
    for name, checks in figures(model).items():
        about = model.field_of(name)
        assert taken(checks, -1.0) == (about.above is None and about.at_least is None), name
        assert taken(checks, 0.0) == (about.above is None), name
        assert taken(checks, 2e8) == (about.below is None and about.at_most is None), name
        assert taken(checks, about.at_most or 1e-6), name
        if about.below is not None:
            assert not taken(checks, about.below), name
            assert taken(checks, about.below * (1 - 1e-9)), name


def test_the_figures_are_really_found() -> None:
    assert len(figures(Pack)) == 14
    assert len(figures(Engine)) == 13
    assert len(figures(SpringGroup)) == 10
