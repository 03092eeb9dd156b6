from app.presentation.verdict_list import SHOWN, verdicts_of_engine, verdicts_of_pack
from tests.factories import make_engine_document, make_pack

PACK = make_pack().to_inputs()


def test_a_long_list_is_cut_where_the_board_goes_on() -> None:
    engines = [
        (f"e{n}", f"E{n}", make_engine_document(service_factor=0.2 + n / 50).to_inputs())
        for n in range(SHOWN + 5)
    ]
    lines = verdicts_of_pack("p1", PACK, engines)
    assert len(lines) == SHOWN
    assert {line.verdict for line in lines} == {"holds"}
    ratios = [float(line.ratio) for line in lines]
    # By margin, the greatest first; those far beyond what is asked are left to the board.
    assert ratios == sorted(ratios, reverse=True)
    whole = verdicts_of_pack("p1", PACK, engines, shown=len(engines))
    assert [line.name for line in lines] == [line.name for line in whole[-SHOWN:]]


def test_a_pack_and_an_engine_see_the_same_cell() -> None:
    engine = make_engine_document(service_factor=0.6).to_inputs()
    (one,) = verdicts_of_pack("p1", PACK, [("e1", "E", engine)])
    (other,) = verdicts_of_engine("e1", engine, [("p1", "P", PACK)])
    assert (one.href, one.verdict, one.ratio, one.interval, one.chance) == (
        other.href,
        other.verdict,
        other.ratio,
        other.interval,
        other.chance,
    )
    assert (one.name, other.name) == ("E", "P")


def test_nothing_to_compare_with_is_an_empty_list() -> None:
    assert verdicts_of_pack("p1", PACK, []) == ()


def test_what_fails_a_check_follows_what_holds() -> None:
    wide = make_pack(spline_count=13).to_inputs()
    other = make_pack(spline_count=14).to_inputs()
    engine = make_engine_document(service_factor=0.3, spline_count=13).to_inputs()
    lines = verdicts_of_engine("e1", engine, [("p2", "Other", other), ("p1", "Right", wide)])
    assert [(line.name, bool(line.failed)) for line in lines] == [("Right", False), ("Other", True)]
    many = [(f"p{n}", f"Other {n}", other) for n in range(SHOWN)]
    first, *rest = verdicts_of_engine("e1", engine, [*many, ("p", "Right", wide)])
    assert first.name == "Right"
    assert len(rest) == SHOWN - 1
