"""What the curve says, and what the coach decides about it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from app.review.parts.findings import Decision, DropFinding, KeepFinding, ReopenFinding
from app.review.parts.state import ReviewState
from app.submission.submission import LoadedSubmission, judged_by
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.session.selection import Selection
from app.window.tasks.jobs import Cancelled, Job, Jobs, Progress
from app.window.tasks.message_line import Messages

if TYPE_CHECKING:
    from analysis.findings.finding import Finding

NOT_LINED_UP = (
    "Footage and force are not lined up yet: the curve is right, the picture may show another"
    " moment."
)
WHICH = (
    "Finding {at} of {of}: {title}, {share} % of strokes. K keeps it, E keeps and rewords it, X"
    " drops it."
)
NO_STROKES = (
    "No stroke was found to judge; look in the trace whether there are strokes, and in the Force"
    " menu how they are read."
)
NOTHING_FOUND = (
    "Nothing stood out in {count} {strokes}: none passes the numbers under Thresholds in the Force"
    " menu. What you see yourself is a note (N)."
)


class Findings(QObject):
    """Raises the findings off the window's thread; keeps, drops and rewords them."""

    changed = Signal()  # other findings, or other decisions
    look_wanted = Signal()  # the coach steps through them: let them be seen

    def __init__(
        self,
        session: ReviewSession,
        playhead: Playhead,
        selection: Selection,
        jobs: Jobs,
        messages: Messages,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._session = session
        self._playhead = playhead
        self._selection = selection
        self.chosen = selection.finding_chosen
        self._jobs = jobs
        self._messages = messages
        self._judged = session.submission
        self._chosen = ""
        self._of = session.review
        self._job: Job | None = None
        selection.writing_done.connect(self._go_on)
        session.recordings_changed.connect(self._raise_anew)
        session.body_changed.connect(self._raise_anew)
        session.own.changed.connect(self._raise_anew)
        session.state_changed.connect(self._take_state)

    @property
    def found(self) -> tuple[Finding, ...]:
        """All findings, the most important first."""
        return self._judged.findings

    @property
    def selected(self) -> Finding | None:
        """The finding chosen."""
        return next((f for f in self.found if f.code == self._chosen), None)

    def decision(self, code: str) -> Decision | None:
        """What was decided about a finding."""
        return next((d for d in self._session.state.decisions if d.code == code), None)

    def choose(self, code: str, anew: bool = False) -> None:
        """Choose a finding and go where it is seen best.

        Parameters
        ----------
        anew : go there also when it is the chosen one already
        """
        if code == self._chosen and not anew:
            return
        self._chosen = code
        finding = self.selected
        self._selection.choose_finding(finding)
        if finding is not None:
            self._go_to(finding)

    def choose_next(self, step: int) -> None:
        """Select the next or the one before."""
        codes = [f.code for f in self.found]
        if not codes:
            self._messages.say(self._why_none())
            return
        here = codes.index(self._chosen) if self._chosen in codes else -1 if step > 0 else 0
        at = (here + step) % len(codes)
        self.choose(codes[at], anew=True)
        self._say_which(at)
        self.look_wanted.emit()

    def _go_on(self, note_id: str) -> None:
        """After the words of a kept one: the next that is not decided, where there is one."""
        here = next((d.code for d in self._session.state.decisions if d.note_id == note_id), "")
        codes = [f.code for f in self.found]
        if not note_id or here not in codes:
            return
        at = codes.index(here)
        later = codes[at + 1 :] + codes[:at]
        left = next((code for code in later if self.decision(code) is None), None)
        if left is None:
            self._messages.say("Every finding is kept or dropped.")
            return
        self.choose(left, anew=True)
        self._say_which(codes.index(left))
        self.look_wanted.emit()

    def _say_which(self, at: int) -> None:
        """Name it in the bottom line too: on a low screen the list may stand out of sight."""
        finding = self.found[at]
        share = f"{100 * finding.share:.0f}"
        words = [WHICH.format(at=at + 1, of=len(self.found), title=finding.title, share=share)]
        if self._is_not_lined_up:
            words.append(NOT_LINED_UP)
        self._messages.say(" ".join(words))

    def _why_none(self) -> str:
        """Why there is nothing to go through, and what can be done."""
        if self._job is not None:
            return "The findings are still being read; they come by themselves."
        count = len(self._session.submission.strokes)
        if not count:
            return NO_STROKES
        return NOTHING_FOUND.format(count=count, strokes="stroke" if count == 1 else "strokes")

    def keep(self) -> None:
        """Keep the selected finding: it becomes a note with its cue and drill."""
        self._keep(write=False)

    def reword(self) -> None:
        """Keep the selected finding and put it into words of one's own at once."""
        self._keep(write=True)

    def drop(self) -> None:
        """Drop the selected finding, or open it again."""
        finding = self.selected
        if finding is None:
            self._messages.say("Choose a finding first.")
            return
        decision = self.decision(finding.code)
        if decision is not None and not decision.kept:
            self._session.do(ReopenFinding(finding.code))
        else:
            self._session.do(DropFinding(finding.code))
            self._messages.say(f"Dropped: {finding.title}. It will not reach the athlete.")

    def _keep(self, write: bool) -> None:
        from app.review.finding_notes import finding_note

        finding = self.selected
        if finding is None:
            self._messages.say("Choose a finding first.")
            return
        decision = self.decision(finding.code)
        if decision is None or not decision.kept:
            self._session.do(KeepFinding(finding.code, finding_note(finding)))
            self._messages.say(f"Kept as a note: {finding.title}.")
            decision = self.decision(finding.code)
        if decision is not None:
            self._selection.choose_note(decision.note_id)
            if write:
                self._selection.writing_wanted.emit(decision.note_id)

    def _go_to(self, finding: Finding) -> None:
        moment = finding.where.video_s
        if moment is None and finding.where.trace_s is not None:
            moment = self._session.submission.clock.film_time(finding.where.trace_s)
        if moment is not None:
            self._playhead.pause()
            self._playhead.seek(moment)
        if self._is_not_lined_up:
            self._messages.say(NOT_LINED_UP)

    @property
    def _is_not_lined_up(self) -> bool:
        sent = self._session.submission
        both = self._session.footage is not None and sent.piece is not None
        return both and not sent.clock.is_lined_up

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        if judged_by(state) != judged_by(before):
            self._raise_anew()
        elif state.decisions != before.decisions:
            self.changed.emit()

    def _raise_anew(self) -> None:
        if self._job is not None:
            self._job.cancel()
            self._job = None
        if self._session.review is not self._of:
            self._of, self._chosen = self._session.review, ""  # another one begins with its first
        submission = self._session.submission
        if submission.piece is None and submission.body is None:
            self._take(submission)
            return

        def work(progress: Progress, cancelled: Cancelled) -> LoadedSubmission:
            _ = submission.findings
            return submission

        self._job = self._jobs.run(
            "Reading the curves", work, self._take, lambda e: self._messages.warn(str(e))
        )

    def _take(self, judged: LoadedSubmission) -> None:
        self._job = None
        self._judged = judged
        self._session.submission.keep_from(judged)  # of a review that was written on meanwhile
        if self.selected is None:
            self._chosen = ""
        self.changed.emit()
        self._selection.choose_finding(self.selected)
