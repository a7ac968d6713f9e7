"""The command `batch`, on small submissions as they come in."""

import shutil
from pathlib import Path

import pytest

from app.drafts import prepare as preparing
from app.drafts.job import DraftJob, Prepared
from app.drafts.prepare import prepare
from app.files.user_folders import data_folder
from app.review.file.store import read_review
from app.review.recordings import RecordingAccess
from app.review.values.errors import ReviewError
from app.submission.load import load
from samples.submission import SampleOptions, Submission, make_submission
from tests.helpers.command_line import answer, refused, run

KEYS = ["films", "force", "status", "review", "seconds", "remark"]


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> Submission:
    options = SampleOptions(
        duration_s=16.0, fps=15, width=320, height=180, rate_spm=30.0, offset_s=0.8, drift_ppm=0.0
    )
    return make_submission(tmp_path_factory.mktemp("sample"), options)


@pytest.fixture(scope="module")
def other(tmp_path_factory: pytest.TempPathFactory) -> Submission:
    """Another rower, at another rate."""
    options = SampleOptions(
        seed=9, duration_s=16.0, fps=5, width=320, height=180, rate_spm=21.0, offset_s=0.8
    )
    return make_submission(tmp_path_factory.mktemp("other"), options)


@pytest.fixture
def inbox(tmp_path: Path, sample: Submission) -> Path:
    """One whole submission, one force alone, one that cannot be used."""
    folder = tmp_path / "inbox"
    (folder / "Ada").mkdir(parents=True)
    (folder / "Ben").mkdir()
    shutil.copy(sample.footage, folder / "Ada" / "IMG_1.mp4")
    shutil.copy(sample.force, folder / "Ada" / "log.csv")
    shutil.copy(sample.force, folder / "Ben" / "ben.csv")
    (folder / "broken.csv").write_text("nothing,to,see\n1,2\n")
    return folder


def test_each_submission_gets_a_row_and_a_draft(inbox: Path, tmp_path: Path) -> None:
    out = tmp_path / "drafts"
    answer("library", "list")  # one's own library is there, and hears of the drafts
    made = answer("batch", inbox, "-o", out, "--processes", "1")
    rows = {Path(row["force"]).name: row for row in made["submissions"]}
    assert (made["ready"], made["failed"]) == (2, 1)
    assert all(list(row) == KEYS for row in rows.values())
    ada, ben, broken = rows["log.csv"], rows["ben.csv"], rows["broken.csv"]
    assert [Path(name).name for name in ada["films"]] == ["IMG_1.mp4"]
    assert (broken["status"], broken["review"]) == ("failed", None) and broken["remark"]
    state = read_review(Path(ada["review"]))
    assert state.draft and state.athlete == "Ada" and state.video is not None
    assert state.alignment.offset_s == pytest.approx(0.8, abs=0.08)
    assert state.notes and ben["films"] == []
    # What was named for the batch may be read for its reviews, also by the window.
    sent = load(state, Path(ada["review"]), access=RecordingAccess(data_folder()))
    assert sent.video_path is not None and sent.piece is not None
    known = {one["name"]: one["drafts"] for one in answer("library", "list")["athletes"]}
    assert known == {"Ada": 1, "Ben": 1}

    again = run("batch", inbox, "-o", out, "--processes", "1")
    assert again[0] == 0 and again[1].count("  before") == 2  # done, each was tried
    assert "2 of 3 drafts are ready." in again[1]


def job_of(films: list[Path], force: Path | None, review: Path, why: str = "names") -> DraftJob:
    return DraftJob(
        tuple(str(path) for path in films), None if force is None else str(force), str(review),
        "Ada", why,
    )  # fmt: skip


def test_two_whose_names_agree_and_whose_strokes_do_not_are_taken_apart(
    sample: Submission, other: Submission, tmp_path: Path
) -> None:
    review = tmp_path / "ada.review"
    done = prepare(job_of([sample.footage], other.force, review))
    assert done.row.status == "ready"
    assert "does not keep step" in done.row.remark
    state = read_review(review)
    assert state.video is None and state.trace is not None


def test_a_draft_made_before_a_worker_was_stopped_is_taken(
    sample: Submission, tmp_path: Path
) -> None:
    review = tmp_path / "ada.review"
    first = prepare(job_of([], sample.force, review))
    before = review.read_bytes()
    again = prepare(job_of([], sample.force, review))
    assert first.row.status == again.row.status == "ready"
    assert first.summary is not None and first.summary.athlete == "Ada"
    assert review.read_bytes() == before


def test_two_that_make_one_draft_at_once_have_it_both(
    sample: Submission, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A process of a killed batch ends its last work while the next batch does the same."""
    job = job_of([], sample.force, tmp_path / "ada.review")

    def late(asked: DraftJob) -> Prepared:
        with monkeypatch.context() as before:
            before.setattr("app.drafts.prepare._draft", real)
            assert prepare(asked).row.status == "ready"
        raise ReviewError("ada.review exists already.")

    real = preparing._draft
    monkeypatch.setattr("app.drafts.prepare._draft", late)
    assert prepare(job).row.status == "ready"


def test_a_review_of_something_else_is_left_alone(
    sample: Submission, other: Submission, tmp_path: Path
) -> None:
    review = tmp_path / "ada.review"
    prepare(job_of([], sample.force, review))
    before = review.read_bytes()
    done = prepare(job_of([], other.force, review))
    assert done.row.status == "failed" and "left as it is" in done.row.remark
    assert review.read_bytes() == before


def test_what_nobody_foresaw_is_one_row(
    sample: Submission, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def burst(*args: object, **more: object) -> None:
        raise RuntimeError("boom")

    monkeypatch.setattr("app.drafts.prepare.begin_together", burst)
    done = prepare(job_of([], sample.force, tmp_path / "a.review"))
    assert (done.row.status, done.summary) == ("failed", None)
    assert "RuntimeError" in done.row.remark and "boom" not in done.row.remark


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("nowhere", "-o", "out"), "no folder nowhere"),
        ((".", "-o", "out"), "no film and no force recording"),
    ],
)
def test_what_cannot_be_begun_is_one_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], said: str
) -> None:
    monkeypatch.chdir(tmp_path)
    assert said in refused("batch", *words)


def test_a_wrong_call_is_told_apart(tmp_path: Path) -> None:
    assert run("batch", tmp_path)[0] == 2
    assert run("batch", tmp_path, "-o", "x", "--processes", "0")[0] == 2
    assert run("batch", tmp_path, "-o", "x", "--processes", "2", "--scheduler", "tcp://a")[0] == 2
