"""A film with a cut in it, in the window: each side is marked and moved by itself."""

from __future__ import annotations

from dataclasses import replace

from analysis.clocks.alignment import Alignment
from app.review.parts.line_up import SetLineUp
from app.submission.line_up_method import LineUpMethod
from app.window.features.line_up.auto_line_up import AutoLineUp
from app.window.features.line_up.line_up import LineUp, describe
from app.window.main_window import MainWindow

EARLY = Alignment(0.0, 0.0, 0.02, "by picture", until_s=1.0)
LATE = Alignment(-3.0, 0.0, 0.03, "by sound", from_s=1.0)
CUT = replace(EARLY, further=(LATE,))


def test_a_catch_marked_beyond_the_cut_lines_up_that_side_alone(loaded: MainWindow) -> None:
    loaded.session.do(SetLineUp((), EARLY))
    line_up = loaded[LineUp]
    loaded.playhead.seek(1.5)
    line_up.mark()
    line_up.pick(4.0)
    now = loaded.session.state.alignment
    first, second = now.parts
    assert first == EARLY and (second.from_s, second.until_s) == (1.0, None)
    assert abs(now.trace_time(1.5) - 4.0) < 0.1 and now.trace_time(0.5) == 0.5
    line_up.clear()
    assert loaded.session.state.alignment == Alignment()
    loaded.session.undo()
    assert loaded.session.state.alignment == now


def test_moving_and_locking(loaded: MainWindow) -> None:
    loaded.session.do(SetLineUp((), CUT))
    loaded.playhead.seek(1.5)
    loaded[AutoLineUp].nudge(0.1)
    now = loaded.session.state.alignment
    assert now.parts[0] == EARLY and now.parts[1].offset_s == -2.9
    loaded[AutoLineUp].lock()
    locked = loaded.session.state.alignment
    assert all(LineUpMethod.parse(part.method).is_checked for part in locked.parts)


def test_the_line_over_the_trace_names_each_side() -> None:
    both = describe(CUT, ())
    assert "to 1.0 s within ±20 ms; from 1.0 s on within ±30 ms" in both
    assert "not lined up" not in both
    gap = describe(replace(EARLY, further=(replace(LATE, from_s=1.5),)), ())
    assert gap.endswith("The rest is not lined up")
