from app.presentation.slip_import_page import counts_words, import_lines, value_words


def test_a_line_says_what_it_would_do() -> None:
    changes = [("temperature_c", None, 21.5), ("readings", [{"torque_nm": 5}],
                                               [{"low_nm": 5, "high_nm": 6}])]
    (line,) = import_lines([(2, "changed", "run 1", changes, [("date", "Write a date.")])])
    assert (line.word, line.row) == ("Changed", 2)
    assert line.changes == (("temperature c", "not known", "21.5"), ("readings", "5", "5–6"))
    assert line.problems == (("date", "Write a date."),)


def test_values_are_in_words_and_counts_leave_out_nothing_at_all() -> None:
    assert [value_words(v) for v in (False, "dry", 6)] == ["no", "dry", "6"]
    counts = {"new": 0, "changed": 1, "unchanged": 0, "refused": 2}
    assert counts_words(counts) == "1 changed, 2 can't be read"
