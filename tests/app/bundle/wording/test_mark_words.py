from app.bundle.wording.mark_words import curve_marks_named
from app.bundle.wording.words import ENGLISH
from app.review.parts.curve_marks import new_curve_mark


def test_marks_on_the_curve_are_said_for_those_who_cannot_see_them() -> None:
    marks = [
        new_curve_mark("line", "time", [(5, 50), (30, 90), (60, 90)]),
        new_curve_mark("span", "time", [(70, 0), (40, 0)], text="fades\u202e\n"),
    ]
    assert curve_marks_named(marks, ENGLISH) == [
        "a line from 5 to 60 % of the drive",
        "a shaded stretch from 40 to 70 % of the drive with the words “fades”",
    ]
