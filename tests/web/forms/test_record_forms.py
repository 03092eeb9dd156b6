from app.documents import Pack, Q
from app.errors import Problem
from app.records.base import NOT_SAID
from app.web.forms.reader import FormReader
from app.web.forms.record_forms import as_copied, in_order, new_token, sent_version, who


def test_problems_come_in_the_order_of_the_boxes_and_name_their_figure() -> None:
    form = FormReader({"name": "", "facing_od_mm": "x", "clamp.load.force_n": "y"})
    form.problems = [
        Problem("clamp.load.force_n", "Write a number in figures 0 to 9, such as 250 N."),
        Problem("mounting", "Choose one of: crankshaft, geared."),
        Problem("name", "Write a name, so that it can be found again."),
        Problem("facing_od_mm", "Facing outside diameter must be more than 0 mm."),
    ]
    assert [problem.message for problem in in_order(form)] == [
        "Write a name, so that it can be found again.",
        "Facing outside diameter must be more than 0 mm.",
        "Clamp load: write a number in figures 0 to 9, such as 250 N.",
        "Mounting: choose one of: crankshaft, geared.",
    ]


def test_whose_change_it_is() -> None:
    assert who(FormReader({"stamp_by": "  Ada  L. "})) == "Ada L."
    assert who(FormReader({}), "the usual one") == "the usual one"
    assert who(FormReader({})) == NOT_SAID
    assert len(who(FormReader({"stamp_by": "x" * 900}))) == 200


def test_only_a_plain_number_is_a_version() -> None:
    assert sent_version(FormReader({"version": "12"})) == 12
    for text in ("", "-1", "1.0", "٣", "9" * 12):
        assert sent_version(FormReader({"version": text})) == 0


def test_two_forms_never_share_a_token() -> None:
    assert len({new_token() for _ in range(100)}) == 100


def test_copied_figures_say_so_down_to_the_springs_and_what_nobody_gave_does_not() -> None:
    typed = {"value": 30, "how": "measured", "with_what": "calliper"}
    springs = [{"free_length_mm": typed, "count": 6}]
    pack = Pack.model_validate({"name": "a", "clamp": {"kind": "coil", "springs": springs}})
    copied = as_copied(pack, "Six")
    group = copied.clamp.springs[0]
    assert group.free_length_mm.with_what == "copied from Six; calliper"
    assert copied.grooved_fraction == Q(value=0)
    assert group.shim_mm == Q(value=0)
