"""Bring schema_3.review up with the code of an earlier commit, and leave steps to take back.

Run in an empty folder holding that commit: ``python THIS_FOLDER/bring_up.py RESULT.review``.
"""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

sys.path.insert(0, str(Path.cwd()))

from app.review.parts.notes import AddNote, EditNote, Note
from app.review.parts.sending import SetSending
from app.review.review import Review

out = Path(sys.argv[1])
shutil.copyfile(Path(__file__).with_name("schema_3.review"), out)
review = Review.open(out)
review.do(AddNote(Note("new", 100.0, "new words")))
review.do(EditNote("new", text="newer words"))
review.do(SetSending(coach="Anna"))
if not review.close():
    raise SystemExit("it was not saved")
out.with_name(f"{out.stem}.schema-3.review").unlink()
