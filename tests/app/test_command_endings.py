"""How commands end: by a fault, by a signal, with a reader gone or a poor terminal."""

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.helpers.command_line import refused, run

ROOT = Path(__file__).parents[2]


def test_the_unforeseen_is_one_sentence_and_a_log(
    here: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> None:
        raise KeyError("deep inside")

    monkeypatch.setattr("app.media.video.VideoFile.open", broken)
    said = refused("frames", "a.mp4")
    log = tmp_path / "state" / "strokeside" / "errors.log"
    assert str(log) in said and "deep inside" not in said
    assert "KeyError: 'deep inside'" in log.read_text("utf-8")
    monkeypatch.setenv("STROKESIDE_DEBUG", "1")
    with pytest.raises(KeyError):
        run("frames", "a.mp4")
    monkeypatch.delenv("STROKESIDE_DEBUG")
    monkeypatch.setenv("XDG_STATE_HOME", str(log))
    assert "no log" in refused("frames", "a.mp4")


def test_ctrl_c_is_quiet(here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("app.media.video.VideoFile.open", interrupted)
    assert run("frames", "a.mp4") == (130, "", "")


@pytest.mark.skipif(os.name != "posix", reason="signals of this system differ")
def test_what_ends_the_tests_while_a_command_runs_is_no_failed_command(
    here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    calls: list[object] = []

    def second_is_stopped(*args: object) -> None:
        calls.append(args)
        if len(calls) == 2:
            os.kill(os.getpid(), signal.SIGTERM)
        raise OSError("a full disk")

    monkeypatch.setattr("app.media.video.VideoFile.open", second_is_stopped)
    with pytest.raises(KeyboardInterrupt, match=r"'frames a\.mp4 --json'"):
        refused("frames", "a.mp4")


@pytest.mark.skipif(os.name != "posix", reason="signals of this system differ")
@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_stopped_while_writing_leaves_nothing(
    sent: tuple[str, str], here: Path, number: signal.Signals
) -> None:
    code = (
        "import os, signal, sys\n"
        # Whoever runs the tests in the background has it ignored, and children inherit that.
        "signal.signal(signal.SIGINT, signal.default_int_handler)\n"
        "import app.bundle.page.page, app.bundle.build as w\n"
        "real = w.draw_curves\n"
        "def draw(*args, **named):\n"
        "    real(*args, **named)\n"
        f"    os.kill(os.getpid(), {int(number)})\n"
        "w.draw_curves = draw\n"
        "from app.commands.program import main\n"
        "sys.exit(main(sys.argv[1:]))\n"
    )
    command = [sys.executable, "-c", code, "draft", *sent, "-o", "out"]
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    ended = subprocess.run(command, capture_output=True, text=True, env=environment)
    assert (ended.returncode, ended.stdout, ended.stderr) == (130, "", "")
    assert {p.name for p in here.iterdir()} == set(sent)


@pytest.fixture
def closed_pipe() -> Iterator[int]:
    reader, writer = os.pipe()
    os.close(reader)
    yield writer
    os.close(writer)


@pytest.mark.skipif(os.name != "posix", reason="pipes of this system differ")
def test_a_reader_who_has_seen_enough(sent: tuple[str, str], closed_pipe: int) -> None:
    command = [sys.executable, "-m", "app", "frames", sent[0]]
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    ended = subprocess.run(command, stdout=closed_pipe, stderr=subprocess.PIPE, env=environment)
    assert (ended.returncode, ended.stderr) == (0, b"")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no full device")
def test_an_answer_that_cannot_be_written(sent: tuple[str, str]) -> None:
    command = [sys.executable, "-m", "app", "frames", sent[0]]
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    with Path("/dev/full").open("w") as full:
        ended = subprocess.run(command, stdout=full, stderr=subprocess.PIPE, env=environment)
    assert ended.returncode == 1
    assert b"no space left" in ended.stderr and b"Traceback" not in ended.stderr
    assert ended.stderr.count(b"\n") == 1


def test_a_terminal_without_the_letters(sent: tuple[str, str]) -> None:
    command = [sys.executable, "-m", "app", "frames", sent[0]]
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "ascii"}
    ended = subprocess.run(command, capture_output=True, env=environment)
    assert ended.returncode == 0 and ended.stdout.startswith(b"320 \\xd7 180")
