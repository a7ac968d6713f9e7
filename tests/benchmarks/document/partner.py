"""A window without a window: a process with a review open, told what to do line by line.

Run as ``python -m tests.benchmarks.document.partner`` it reads lines of JSON from stdin, does each
and answers it with one. `Partner` is the other end.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from app.review.parts.notes import AddNote, Note
from app.review.review import Review
from app.review.values.errors import ReviewError
from tests.helpers.reviews import save_as

ROOT = Path(__file__).resolve().parents[3]


@dataclass(frozen=True)
class Answer:
    """What came of one change.

    Attributes
    ----------
    saved : `save` returned True, so this change and those before it are on the disk
    said : sentences the review told, or the one it raised
    raised : an error that is no sentence
    did_ms, saved_ms : how long `do` and `save` held their caller, milliseconds
    """

    saved: bool
    said: str = ""
    raised: str = ""
    did_ms: float = 0.0
    saved_ms: float = 0.0

    @property
    def is_silent(self) -> bool:
        """Whether nothing was kept and nobody was told."""
        return not self.saved and not self.said


class _Window:
    """The process's side."""

    def __init__(self) -> None:
        self._review: Review | None = None
        self._said: list[str] = []

    def open(self, path: str, home: str) -> Answer:
        self._said.clear()
        try:
            self.close()
            self._review = Review.open(Path(path))
            if home:
                self._review.protect(Path(home))
            self._review.on_save_error = self._said.append
        except ReviewError as error:
            return Answer(False, str(error))
        return Answer(True)

    def close(self) -> Answer:
        end = getattr(self._review, "close", None)
        if end is not None:
            end()
        self._review = None
        return Answer(True)

    def add(self, note_id: str, text: str) -> Answer:
        assert self._review is not None
        self._said.clear()
        start = time.perf_counter()
        try:
            self._review.do(AddNote(Note(note_id, 1.0, text)))
        except ReviewError as error:
            self._said.append(str(error))
        did = time.perf_counter()
        saved = self._review.save()
        end = time.perf_counter()
        told = " | ".join(dict.fromkeys(self._said))
        return Answer(saved, told, "", 1e3 * (did - start), 1e3 * (end - did))

    def save_as(self, path: str) -> Answer:
        assert self._review is not None
        try:
            save_as(self._review, Path(path))
        except ReviewError as error:
            return Answer(False, str(error))
        return Answer(self._review.save())


def main() -> None:
    window = _Window()
    for line in sys.stdin:
        name, *arguments = json.loads(line)
        try:
            answer = getattr(window, name)(*arguments)
        except Exception as error:  # noqa: BLE001 - the other end counts it
            answer = Answer(False, "", f"{type(error).__name__}: {error}")
        print(json.dumps(vars(answer)), flush=True)


class Partner:
    """The driver's side.

    Parameters
    ----------
    before : words put in front of the command, such as those that become another user
    env : added to the environment
    """

    def __init__(self, before: tuple[str, ...] = (), env: dict[str, str] | None = None) -> None:
        command = [*before, sys.executable, "-m", "tests.benchmarks.document.partner"]
        self._process = subprocess.Popen(
            command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, cwd=ROOT,
            env={**os.environ, **(env or {})},
        )  # fmt: skip
        self.answers: list[Answer] = []
        self.acknowledged: set[str] = set()
        self._in_memory: set[str] = set()

    def open(self, path: Path, home: Path | None = None) -> Answer:
        """Open a review; what was not saved of the one before is forgotten.

        Parameters
        ----------
        home : where the program keeps what is its own, as a window does: earlier versions, copies
        """
        self._in_memory.clear()
        return self._ask("open", str(path), str(home or ""))

    def add(self, note_id: str, text: str = "words") -> Answer:
        """Add a note and save; when that worked, so did everything since opening."""
        answer = self._ask("add", note_id, text)
        self.answers.append(answer)
        self._in_memory.add(note_id)
        if answer.saved:
            self.acknowledged |= self._in_memory
        return answer

    def save_as(self, path: Path) -> Answer:
        """Go on under another name; what is in memory is then there."""
        answer = self._ask("save_as", str(path))
        if answer.saved:
            self.acknowledged |= self._in_memory
        return answer

    def end(self) -> None:
        """Close the review and let the process end."""
        self._ask("close")
        self._process.communicate()

    def _ask(self, *words: str) -> Answer:
        assert self._process.stdin is not None and self._process.stdout is not None
        self._process.stdin.write(json.dumps(words) + "\n")
        self._process.stdin.flush()
        line = self._process.stdout.readline()
        if not line:
            return Answer(False, "", f"the process ended with {self._process.wait()}")
        fields: dict[str, Any] = json.loads(line)
        return Answer(**fields)


@dataclass(frozen=True)
class Command:
    """What `strokeside answers` came to: its exit status and its sentence."""

    code: int
    said: str

    @property
    def is_silent(self) -> bool:
        """Whether it refused without a word."""
        return self.code != 0 and not self.said


def answers_file(folder: Path, comment: str) -> Path:
    """A file of answers as an athlete's page writes it."""
    path = folder / f"answers-{comment}.json"
    said = {"strokeside_answers": 1, "bundle": "0" * 16, "ticks": [], "comment": comment}
    path.write_text(json.dumps(said), "utf-8")
    return path


def start_answers(
    review: Path, answers: Path, before: tuple[str, ...] = (), env: dict[str, str] | None = None
) -> subprocess.Popen[str]:
    """Start `strokeside answers REVIEW FILE`."""
    program = Path(sys.executable).with_name("strokeside")
    words = [str(program)] if program.exists() else [sys.executable, "-m", "app"]
    return subprocess.Popen(
        [*before, *words, "answers", str(review), str(answers)], stdout=subprocess.PIPE,
        stderr=subprocess.PIPE, text=True, cwd=ROOT, env={**os.environ, **(env or {})},
    )  # fmt: skip


def ended(process: subprocess.Popen[str]) -> Command:
    """Wait for a command."""
    _, said = process.communicate()
    return Command(process.returncode, said.strip())


if __name__ == "__main__":
    main()
