"""Which analysis made a number: told beside every summary that is kept."""

from typing import Final

# Raised whenever the same recording gives other strokes, measures or findings than before. What was
# summed up by another version is not held against this one's.
ANALYSIS_VERSION: Final = 1
