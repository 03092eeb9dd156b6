import pytest

from app.errors import BadInput
from app.web.forms.reader import FormReader
from app.web.forms.teardown_form import read_findings

COMMON = {"by": "Ada", "date": "2026-11-20"}


def test_only_answered_questions_become_findings() -> None:
    form = FormReader({**COMMON, "damper.outcome": "bad", "damper.notes": "locked",
                       "oil.outcome": "", "plate_warp.outcome": "good",
                       "plate_warp.measured": "0.05"})
    found = read_findings(form, "abc")
    assert [(f.check, f.outcome, f.pack, f.by) for f in found] == [
        ("plate_warp", "good", "abc", "Ada"), ("damper", "bad", "abc", "Ada"),
    ]


def test_what_somebody_chose_stands_over_the_spread() -> None:
    lengths = {"spring_lengths.measured": "31.2 30.2"}
    (own,) = read_findings(FormReader({**lengths, "spring_lengths.outcome": "bad"}), "abc")
    (by_spread,) = read_findings(FormReader(lengths), "abc")
    assert (own.outcome, by_spread.outcome) == ("bad", "watch")


@pytest.mark.parametrize(
    ("typed", "box"),
    [
        ({}, ""),
        ({"damper.notes": "hm"}, "damper.outcome"),
        ({"spring_lengths.measured": "31"}, "spring_lengths.measured"),
        ({"damper.outcome": "fine"}, "damper.outcome"),
        ({"damper.outcome": "good", "date": "soon"}, "date"),
        ({"damper.outcome": "good", "damper.measured": "x\x01"}, "damper.measured"),
    ],
)
def test_a_refusal_stands_at_its_box(typed: dict[str, str], box: str) -> None:
    form = FormReader({**COMMON, **typed})
    with pytest.raises(BadInput):
        read_findings(form, "abc")
    assert box in {p.field for p in form.problems}
