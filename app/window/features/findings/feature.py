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
        # Findings are read from the force; a film alone has its notes in front.
        self.context[ReviewSession].recordings_changed.connect(
            lambda r: places.tabs.show_tab(panel, r.footage is None or r.force is not None)
        )
        self.findings.look_wanted.connect(lambda: places.tabs.setCurrentWidget(panel))
        self.findings.changed.connect(lambda: places.tabs.count_in(panel, self._faults()))

    def _faults(self) -> int:
        return sum(1 for finding in self.findings.found if not finding.good)
