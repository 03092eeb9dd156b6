from app.comparison.verdict import Verdict
from app.presentation.turned_verdicts import MOST_CHARACTERS, turned_words


def sides(**verdicts: Verdict) -> dict[str, tuple[str, Verdict]]:
    return {key: (f"Engine {key}", verdict) for key, verdict in verdicts.items()}


def test_nothing_is_said_where_no_verdict_turned() -> None:
    same = sides(a="holds", b="slips")
    assert turned_words(same, same) == ""
    assert turned_words({}, same) == ""
    assert turned_words(same, {}) == ""


def test_the_worst_is_told_first() -> None:
    before = sides(a="tight", b="holds", c="holds", d="unknown")
    after = sides(a="holds", b="slips", c="tight", d="unknown")
    assert turned_words(before, after) == (
        "3 verdicts changed: Engine b holds → slips; Engine c holds → tight; "
        "Engine a tight → holds."
    )
    assert turned_words(sides(a="holds"), sides(a="unknown")) == (
        "1 verdict changed: Engine a holds → not known."
    )


def test_many_are_counted_where_the_line_ends() -> None:
    names = [f"k{n}" for n in range(50)]
    before = sides(**dict.fromkeys(names, "holds"))
    after = sides(**dict.fromkeys(names, "slips"))
    told = turned_words(before, after)
    assert told.startswith("50 verdicts changed: Engine k0 holds → slips; ")
    assert told.endswith("45 more.")
    assert len(told) <= MOST_CHARACTERS + 12
    long = {"a": ("x" * 300, "holds")}
    assert turned_words(long, {"a": ("x" * 300, "slips")}) == "1 verdict changed."
