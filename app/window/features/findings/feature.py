"""What the curves say, as findings the coach keeps, words anew or drops."""

from __future__ import annotations

from app.window.actions.context import ActionContext
from app.window.actions.feature import Feature, Places
from app.window.features.findings.actions import ACTIONS
from app.window.features.findings.findings import Findings
from app.window.features.findings.findings_panel import FindingsPanel
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.session.selection import Selection
from app.window.tasks.jobs import Jobs
from app.window.tasks.message_line import Messages


class FindingsFeature(Feature):
    """The list of findings and their thresholds."""

    actions = ACTIONS

    def __init__(self, context: ActionContext) -> None:
        super().__init__(context)
        self.findings = Findings(
            context[ReviewSession],
            context[Playhead],
            context[Selection],
            context[Jobs],
            context[Messages],
            self,
        )
        context.offer(self.findings)

    def lay_out(self, places: Places) -> None:
        """Stand among the tabs."""
        panel = FindingsPanel(self.findings)
        places.tabs.add(panel, "Findings")
        session = self.context[ReviewSession]

        def show() -> None:
            """A film of which only the picture is known has its notes in front."""
            sent = session.submission
            known = sent.piece is not None or sent.body is not None
            places.tabs.show_tab(panel, session.footage is None or known)

        session.recordings_changed.connect(show)
        session.body_changed.connect(show)
        self.findings.look_wanted.connect(lambda: places.tabs.setCurrentWidget(panel))
        self.findings.changed.connect(lambda: places.tabs.count_in(panel, self._faults()))

    def _faults(self) -> int:
        return sum(1 for finding in self.findings.found if not finding.good)
