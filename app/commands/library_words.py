"""What the commands of the library answer, as data and as text."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from app.commands.answer import Answer
from app.commands.tables import table

if TYPE_CHECKING:
    from analysis.following_up.follow import Followed
    from analysis.following_up.summaries import PieceSummary
    from app.library.deleting import Deleted, Deletion
    from app.library.exporting import Exported
    from app.library.overview import Standing
    from app.library.past import Past, PastReview, Progress
    from app.library.people import Athlete
    from app.library.rebuild import Rebuilt
    from app.library.retention import Old

NOBODY = (
    "There is no athlete here yet. Athletes come in when a review that names them is saved; "
    "strokeside library rebuild FOLDER reads those you have."
)


def athlete_answer(athlete: Athlete) -> Answer:
    """Answer with one athlete."""
    said = [athlete.name]
    if athlete.birth_year:
        said.append(f"born {athlete.birth_year}")
    said += [word for word in (athlete.level, ", ".join(athlete.tags)) if word]
    if athlete.under_age:
        said.append("under age")
    said.append(_consent(athlete))
    return Answer({"athlete": asdict(athlete)}, "; ".join(said))


def list_answer(found: Sequence[Standing], is_search: bool) -> Answer:
    """Answer with athletes and where they stand."""
    data = {
        "athletes": [
            {
                **asdict(one.athlete), "reviews": one.reviews, "drafts": one.drafts,
                "last_sent_in": one.last_sent_in or None, "last_told": one.last_told or None,
                "last_answer": one.last_answer or None, "waits_since": one.waits_since or None,
                "silent": one.is_silent,
            }
            for one in found
        ]
    }  # fmt: skip
    if not found:
        return Answer(data, "Nobody fits." if is_search else NOBODY)
    rows = [
        (
            one.athlete.name, str(one.reviews), str(one.drafts or ""), one.last_sent_in[:10],
            one.last_told[:10], one.last_answer[:10],
            f"since {one.waits_since[:10]}" if one.waits_since
            else "not sent again" if one.is_silent else "",
            ", ".join(one.athlete.tags),
        )
        for one in found
    ]  # fmt: skip
    heads = ("athlete", "reviews", "drafts", "sent in", "told", "answered", "waits", "tags")
    return Answer(data, table(heads, rows))


def history_answer(past: Past, progress: Progress | None) -> Answer:
    """Answer with an athlete's reviews, and the newest against the one before."""
    data = {
        "athlete": asdict(past.athlete),
        "reviews": [_review(review) for review in past.reviews],
        "follow_up": None if progress is None else progress_data(progress),
    }
    rows = [
        (
            review.when[:10], review.title + (" (draft)" if review.draft else ""),
            _rowed(review.piece),
            ", ".join(f.title for f in review.piece.findings if f.raised and f.lead),
            ", ".join(told.title for told in review.prescriptions),
            review.bundles[-1].sent_at[:10] if review.bundles else "",
        )
        for review in past.reviews
    ]  # fmt: skip
    heads = ("rowed", "review", "strokes", "found", "told", "sent")
    lines = [athlete_answer(past.athlete).text]
    lines.append(table(heads, rows) if rows else "There is no review yet.")
    if progress is not None:
        lines += ["", *progress_lines(progress)]
    return Answer(data, "\n".join(lines))


def progress_data(progress: Progress) -> dict[str, Any]:
    """Give a follow-up ready for JSON."""
    from analysis.following_up.sentences import method_words, sentence

    found = progress.found
    return {
        "before": progress.before.review_id,
        "after": progress.after.review_id,
        "compared": found.conditions.pair is not None,
        "conditions": [s for s in (found.conditions.why_not, *found.conditions.remarks) if s],
        "rows": [{**_followed(row), "sentence": sentence(row)} for row in found.rows],
        "method": method_words(found),
    }


def progress_lines(progress: Progress) -> list[str]:
    """Say a follow-up: what was prescribed, then what else is known to have changed."""
    from analysis.following_up.sentences import method_words, sentence

    found = progress.found
    lines = [f"{progress.after.title} against {progress.before.title}:"]
    lines += [s for s in (found.conditions.why_not, *found.conditions.remarks) if s]
    told = [row for row in found.rows if row.prescribed is not None]
    others = [row for row in found.rows if row.prescribed is None and row.outcome == "changed"]
    lines += [f"  {sentence(row)}" for row in (*told, *others)]
    if found.conditions.pair is not None:
        if not told:
            lines.append("  Nothing was prescribed that could be followed.")
        lines.append(method_words(found))
    return lines


def deletion_answer(found: Deletion) -> Answer:
    """Answer with what would go."""
    data: dict[str, Any] = {
        "deleted": False,
        "athlete": asdict(found.past.athlete),
        "reviews": [str(path) for path in found.files.reviews.values()],
        "media": [str(path) for path in found.media],
        "versions": [str(path) for path in found.versions],
        "remains": list(found.remains),
    }
    lines = [f"Nothing was deleted yet. With --yes goes all of {found.past.athlete.name}:"]
    lines += [f"  review    {path}" for path in data["reviews"]]
    lines += [f"  version   {path}" for path in data["versions"]]
    lines += [f"  recording {path} (with --media)" for path in data["media"]]
    lines.append("  what the library knows, and what was prepared for quick showing")
    return Answer(data, "\n".join([*lines, "What remains:", *_listed(found.remains)]))


def deleted_answer(name: str, done: Deleted) -> Answer:
    """Answer with what went."""
    failed = [f"{path} could not be deleted ({why})." for path, why in done.failed]
    data = {
        "deleted": True,
        "removed": [str(path) for path in done.removed],
        "failed": failed,
        "remains": list(done.remains),
    }
    lines = [f"{name} was deleted, with {len(done.removed)} files and folders.", *failed]
    return Answer(data, "\n".join([*lines, "What remains:", *_listed(done.remains)]))


def retention_answer(
    months: int,
    before: str,
    found: Sequence[tuple[Old, Deletion]],
    done: Sequence[Deleted] | None,
) -> Answer:
    """Answer with what is older than the limit, or with what became of it."""
    if not months:
        said = "You have settled no limit; --keep-months N makes one. Nothing was looked at."
        return Answer({"months": 0, "before": None, "deleted": False, "athletes": []}, said)
    rows = [
        {
            "athlete": old.name, "whole": old.whole, "reviews": [asdict(r) for r in old.reviews],
            "files": [str(p) for p in (*one.files.reviews.values(), *one.versions)],
            "media": [str(path) for path in one.media],
            "remains": list(one.remains),
        }
        for old, one in found
    ]  # fmt: skip
    data: dict[str, Any] = {"months": months, "before": before, "deleted": False, "athletes": rows}
    if done is not None:
        failed = [
            f"{path} could not be deleted ({why})." for one in done for path, why in one.failed
        ]
        removed = [str(path) for one in done for path in one.removed]
        remains = list(dict.fromkeys(said for one in done for said in one.remains))
        data |= {"deleted": True, "removed": removed, "failed": failed, "remains": remains}
        lines = [f"{len(found)} athletes: {len(removed)} files and folders were deleted.", *failed]
        return Answer(data, "\n".join([*lines, "What remains:", *_listed(remains)]))
    if not found:
        return Answer(data, f"Nothing is older than {months} months (before {before}).")
    lines = [f"Nothing was deleted yet. Older than {months} months (before {before}):"]
    for old, one in found:
        lines.append(f"{old.name}{', with all there is of them' if old.whole else ''}")
        lines += [f"  {review.last}  {review.title or review.path}" for review in old.reviews]
        lines += [f"  recording {path} (with --media)" for path in one.media]
    return Answer(data, "\n".join([*lines, "With --yes it goes."]))


def exported_answer(made: Exported) -> Answer:
    """Answer with an archive."""
    data = {
        "archive": str(made.path), "entries": list(made.entries), "bytes": made.bytes,
        "missing": list(made.missing),
    }  # fmt: skip
    text = f"Archive: {made.path} ({len(made.entries)} files, {made.bytes / 1e6:.1f} MB)"
    return Answer(data, "\n".join([text, *made.missing]))


def rebuilt_answer(made: Rebuilt) -> Answer:
    """Answer with what became of a folder of reviews."""
    kept = made.recorded
    data = {
        "added": len(kept.added),
        "changed": len(kept.changed),
        "unchanged": len(kept.unchanged),
        "unnamed": len(kept.unnamed),
        "unread": [{"file": str(path), "why": why} for path, why in made.unread],
        "unmeasured": [str(path) for path in made.unmeasured],
        "doubled": [str(path) for path in made.doubled],
    }
    lines = [
        f"{len(kept.added)} reviews are new in the library, {len(kept.changed)} changed, "
        f"{len(kept.unchanged)} were there as they are."
    ]
    if kept.unnamed:
        lines.append(f"{len(kept.unnamed)} do not say whom they are about and were left out.")
    lines += [f"{path.name}: {why}" for path, why in made.unread]
    lines += [f"{p.name}: its recordings are not at hand, so it brings no measures."
              for p in made.unmeasured]  # fmt: skip
    lines += [f"{path.name} is an older copy of another review." for path in made.doubled]
    return Answer(data, "\n".join(lines))


def _review(review: PastReview) -> dict[str, Any]:
    told = asdict(review)
    piece = told.pop("piece")
    return {**told, **piece}


def _followed(row: Followed) -> dict[str, Any]:
    told = asdict(row)
    prescribed = told.pop("prescribed")
    return {**told, "finding": prescribed["finding"] if prescribed else None,
            "prescribed": prescribed is not None}  # fmt: skip


def _rowed(piece: PieceSummary) -> str:
    said = [
        f"{s.count} at {s.rate_spm:.0f}" for s in piece.sections if s.rate_spm is not None
    ]  # fmt: skip
    return ", ".join(said) + (" (picture)" if piece.source == "body" else "")


def _consent(athlete: Athlete) -> str:
    if athlete.consent is None:
        return "consent not asked yet"
    on = f" on {athlete.consent_on}" if athlete.consent_on else ""
    return f"consent given{on}" if athlete.consent else f"consent refused{on}"


def _listed(sentences: Sequence[str]) -> list[str]:
    return [f"  {sentence}" for sentence in sentences]
