"""A review where disks are unkind: ``python -m tests.benchmarks.document.hard_places [PLACE ...]``.

A window works on a review; then the disk is full, the file or its folder protected, gone, renamed
or replaced, locked by another program, or slow. It goes on working, `strokeside answers` tries as
well, the trouble ends, and the window makes one change more. The table tells what each was told, if
that was true, and how long `do` held its caller. Ends with 1 where something acknowledged is
missing, something failed without a word, or the command said done and was not.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from app.review.parts.state import ReviewState
from app.review.review import Review
from app.review.values.errors import ReviewError
from tests.benchmarks.document.partner import (
    Answer,
    Command,
    Partner,
    answers_file,
    ended,
    start_answers,
)
from tests.benchmarks.document.trial import state_of, table
from tests.benchmarks.document.work import closing, create_rich, id_of, integrity, sound_ids

NOBODY = ("setpriv", "--reuid=65534", "--regid=65534", "--clear-groups")
CHANGES = 3
FULL_BYTES = 8 << 20
LOCK_S = 5.0
SLOW_FSYNC = """
#define _GNU_SOURCE
#include <dlfcn.h>
#include <unistd.h>
static int slow(const char *name, int fd) {
    usleep(50000);
    return ((int (*)(int))dlsym(RTLD_NEXT, name))(fd);
}
int fsync(int fd) { return slow("fsync", fd); }
int fdatasync(int fd) { return slow("fdatasync", fd); }
"""


class Skipped(Exception):
    """This system does not let the place be made; the message says what is missing."""


@dataclass
class Place:
    """Where a review lies, and what is wrong there.

    Attributes
    ----------
    folder, path : the review and its folder
    before : words in front of each program, such as those that become another user
    env : added to the environment of each program
    """

    folder: Path
    path: Path
    before: tuple[str, ...] = ()
    env: dict[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Build what the place needs; raises Skipped where that cannot be."""

    def spoil(self) -> None:
        """Make the trouble."""

    def mend(self) -> None:
        """End the trouble."""

    def leave(self) -> None:
        """Take down what was built."""


class FullDisk(Place):
    """No byte is left."""

    def __post_init__(self) -> None:
        made = _run("mount", "-t", "tmpfs", "-o", f"size={FULL_BYTES}", "tmpfs", str(self.folder))
        if made != 0 or not self.folder.is_mount():
            raise Skipped("no right to mount a small disk")

    def spoil(self) -> None:
        if shutil.disk_usage(self.folder).total > FULL_BYTES:
            raise RuntimeError("this is not the small disk; nothing was filled")
        with (self.folder / "film").open("wb", buffering=0) as film:
            for size in (4096, 1):
                with contextlib.suppress(OSError):
                    for _ in range(FULL_BYTES // size):
                        film.write(bytes(size))

    def mend(self) -> None:
        (self.folder / "film").unlink()

    def leave(self) -> None:
        _run("umount", str(self.folder))


class _AsNobody(Place):
    def __post_init__(self) -> None:
        super().__post_init__()
        if os.geteuid() != 0 or shutil.which("setpriv") is None:
            raise Skipped("needs root and setpriv, to become another user")
        self.before = NOBODY
        if _run(*NOBODY, sys.executable, "-c", "pass") != 0:
            raise Skipped("this Python runs for root alone")

    def _modes(self, folder: int, file: int) -> None:
        self.folder.chmod(folder)
        self.path.chmod(file)

    def open_up(self) -> None:
        self._modes(0o777, 0o666)

    mend = open_up


class ReadOnlyFile(_AsNobody):
    """The file may be read only."""

    def spoil(self) -> None:
        self._modes(0o777, 0o444)


class ReadOnlyFolder(_AsNobody):
    """Nothing may be made in the folder."""

    def spoil(self) -> None:
        self._modes(0o555, 0o666)


class ImmutableFile(Place):
    """`chattr +i`, which binds root too."""

    def spoil(self) -> None:
        if shutil.which("chattr") is None or _run("chattr", "+i", str(self.path)) != 0:
            raise Skipped("no chattr on this file system")

    def mend(self) -> None:
        _run("chattr", "-i", str(self.path))


class ImmutableFolder(Place):
    """`chattr +i` on the folder."""

    def spoil(self) -> None:
        if shutil.which("chattr") is None or _run("chattr", "+i", str(self.folder)) != 0:
            raise Skipped("no chattr on this file system")

    def mend(self) -> None:
        _run("chattr", "-i", str(self.folder))


class FolderRemoved(Place):
    """The folder goes with all in it, and an empty one comes."""

    def spoil(self) -> None:
        shutil.rmtree(self.folder)

    def mend(self) -> None:
        self.folder.mkdir()


class FolderAway(Place):
    """The folder goes and comes back as it was, like a stick pulled out."""

    def spoil(self) -> None:
        self.folder.rename(self.folder.with_name("away"))

    def mend(self) -> None:
        if self.folder.exists():
            raise RuntimeError("a folder was made where the stick had been")
        self.folder.with_name("away").rename(self.folder)


class FileReplaced(Place):
    """Another review takes the name; it must not be overwritten."""

    def spoil(self) -> None:
        other = self.folder / "other.review"
        with closing(Review.create(other, ReviewState(title="another review"))):
            pass
        other.replace(self.path)


class FileRenamed(Place):
    """The coach gives the file another name in the file manager."""

    def spoil(self) -> None:
        self.path.rename(self.folder / "renamed.review")


class FileRenamedBack(FileRenamed):
    """The same, and back again."""

    def mend(self) -> None:
        if not self.path.exists():
            (self.folder / "renamed.review").rename(self.path)


class Locked(Place):
    """Another program holds the file for five seconds."""

    def spoil(self) -> None:
        held = threading.Event()
        self._thread = threading.Thread(target=self._hold, args=(held,))
        self._thread.start()
        held.wait()

    def _hold(self, held: threading.Event) -> None:
        db = sqlite3.connect(self.path, isolation_level=None)
        db.execute("BEGIN EXCLUSIVE")
        held.set()
        time.sleep(LOCK_S)
        db.close()

    def mend(self) -> None:
        self._thread.join()


class SlowDisk(Place):
    """Each fsync takes 50 ms more."""

    def __post_init__(self) -> None:
        if shutil.which("gcc") is None:
            raise Skipped("no gcc to build the slow fsync with")
        source, shim = self.folder.parent / "slow.c", self.folder.parent / "slow.so"
        source.write_text(SLOW_FSYNC)
        if _run("gcc", "-shared", "-fPIC", "-o", str(shim), str(source), "-ldl") != 0:
            raise Skipped("gcc could not build the slow fsync")
        self.env = {"LD_PRELOAD": str(shim)}


PLACES: dict[str, Callable[[Path, Path], Place]] = {
    "full disk": FullDisk,
    "read-only file": ReadOnlyFile,
    "read-only folder": ReadOnlyFolder,
    "immutable file": ImmutableFile,
    "immutable folder": ImmutableFolder,
    "folder removed": FolderRemoved,
    "folder away and back": FolderAway,
    "file replaced by another review": FileReplaced,
    "file renamed": FileRenamed,
    "file renamed and back": FileRenamedBack,
    "locked for 5 s": Locked,
    "every fsync 50 ms": SlowDisk,
}


def _run(*words: str) -> int:
    return subprocess.run(words, capture_output=True, check=False).returncode


@dataclass
class Report:
    """What happened at one place."""

    during: list[Answer] = field(default_factory=list)
    after: Answer | None = None
    reopened: str = ""
    command: Command | None = None
    command_kept: bool = False
    bad: list[str] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)


def tried(make: Callable[[Path, Path], Place]) -> Report:
    """Go through one place from beginning to end."""
    with tempfile.TemporaryDirectory() as name:
        top = Path(name).resolve()
        top.chmod(0o777)
        folder = top / "disk"
        folder.mkdir()
        place = make(folder, folder / "piece.review")
        try:
            create_rich(place.path)
            if isinstance(place, _AsNobody):
                place.open_up()
            return _work(place, top)
        finally:
            place.leave()


def _work(place: Place, top: Path) -> Report:
    report, partner = Report(), Partner(place.before, place.env)
    try:
        partner.open(place.path, top / "home")
        for i in range(CHANGES):
            if not partner.add(id_of(1, i)).saved:
                report.bad.append("could not be saved before there was any trouble")
        place.spoil()
        try:
            answers = answers_file(top, "from the athlete")
            command = start_answers(place.path, answers, place.before, place.env)
            report.during = [partner.add(id_of(2, i), "x" * 20_000) for i in range(CHANGES)]
            report.command = ended(command)
        finally:
            place.mend()
        report.after = partner.add(id_of(3, 0))
        if isinstance(place, FileReplaced):
            rescued = partner.save_as(place.folder / "rescued.review")
            report.reopened = rescued.said or rescued.raised or "saved under another name"
        elif not report.after.saved:
            reopened = partner.open(place.path, top / "home")
            again = partner.add(id_of(3, 1))
            report.reopened = (reopened.said or again.said or again.raised
                               or "opened anew, saved")  # fmt: skip
    finally:
        partner.end()
    _judge(report, partner.acknowledged, place, top)
    return report


def _judge(report: Report, acknowledged: set[str], place: Place, top: Path) -> None:
    """What is on the disk in the end, against what was said."""
    assert report.command is not None and report.after is not None
    files = [p for p in top.rglob("*.review") if p.is_file()]
    held = {p: s for p in files if (s := _read(p, report)) is not None}
    best = max(held, key=lambda p: len(acknowledged & {n.id for n in held[p].notes}), default=None)
    there = set() if best is None else {n.id for n in held[best].notes}
    if acknowledged - there:
        report.bad.append(f"{len(acknowledged - there)} acknowledged notes in no one file")
    if best is not None:
        _sounds(best, report)
    report.command_kept = any(s.answers[-1:] and s.answers[-1].comment == "from the athlete"
                              for s in held.values())  # fmt: skip
    if report.command.code == 0 and not report.command_kept:
        report.bad.append("the command said done and was not")
    if report.command.code != 0 and (
        report.command.is_silent or "Traceback" in report.command.said
    ):
        report.bad.append("the command failed without a sentence")
    for answer in (*report.during, report.after):
        if answer.raised or answer.is_silent:
            report.bad.append(f"a change failed without a sentence {answer.raised}".strip())
    if isinstance(place, FileReplaced) and not _is_other(held.get(place.path)):
        report.bad.append("the other review was written over")
    extra = sorted({p.name for p in top.rglob("*") if p.is_file()} - {
        "piece.review", "answers-from the athlete.json", "slow.c", "slow.so"})  # fmt: skip
    if extra:
        report.remarks.append("also there: " + ", ".join(extra))


def _is_other(state: ReviewState | None) -> bool:
    return state is not None and state.title == "another review" and not state.notes


def _read(path: Path, report: Report) -> ReviewState | None:
    try:
        state = state_of(path)
    except ReviewError as error:
        report.bad.append(f"{path.name} does not open: {error}")
        return None
    if problem := integrity(path):
        report.bad.append(f"{path.name}: {problem}")
    return state


def _sounds(path: Path, report: Report) -> None:
    with closing(Review.open(path)) as review:
        gone = 0
        for id_ in sound_ids(review.state):
            try:
                review.sound(id_)
            except ReviewError:
                gone += 1
    if gone:
        report.bad.append(f"{gone} voices gone from {path.name}")


def tell(name: str, report: Report) -> None:
    """Print what happened at one place."""
    assert report.command is not None and report.after is not None
    kept = sum(a.saved for a in report.during)
    sentences = dict.fromkeys(a.said or a.raised for a in report.during if a.said or a.raised)
    rows: list[tuple[str, object]] = [
        ("saved meanwhile", f"{kept} of {len(report.during)}"),
        *(("told", said) for said in sentences),
        ("do() held its caller", f"{max(a.did_ms for a in report.during):.0f} ms at most"),
        ("save() after it", f"{max(a.saved_ms for a in report.during):.0f} ms at most"),
        ("afterwards", "saved" if report.after.saved else f"not saved: {report.after.said}"),
        *([("then", report.reopened)] if report.reopened else []),
        ("command", f"exit {report.command.code}, "
                    f"{'kept' if report.command_kept else 'not kept'}; {report.command.said}"),
        *(("remark", said) for said in report.remarks),
        *(("BAD", said) for said in dict.fromkeys(report.bad)),
    ]  # fmt: skip
    table(name, rows)


def main() -> int:
    bad = 0
    for name in sys.argv[1:] or PLACES:
        try:
            report = tried(PLACES[name])
        except Skipped as why:
            print(f"\n{name}: skipped, {why}")
            continue
        tell(name, report)
        bad += len(report.bad)
    print(f"\n{bad} lost, silent or untrue")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
