"""The command `library`: the athletes, over the same library as the window."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from app.commands import options as words
from app.commands.answer import Answer, CommandError, progress

if TYPE_CHECKING:
    from app.library.deleting import Places
    from app.library.library import Library

ORDERS = ("newest", "waiting", "name")


def library(options: argparse.Namespace) -> Answer:
    """Do one of the things that can be done with the library."""
    answer: Answer = options.part(options)
    return answer


def add_options(command: argparse.ArgumentParser) -> None:
    """Options of `library` and of each of its parts."""
    parts = command.add_subparsers(title="what to do", metavar="WHAT", required=True)
    for name, (job, about, add) in _PARTS.items():
        part = parts.add_parser(name, help=about, description=about, allow_abbrev=False)
        add(part)
        part.add_argument(
            "--library",
            metavar="URL",
            help="a file, or postgresql://ROLE@HOST/DATABASE of a club; without it the one named "
            "by STROKESIDE_LIBRARY, or else your own",
        )
        part.add_argument("--json", action="store_true", help="answer as JSON")
        part.set_defaults(part=job)


@contextmanager
def opened(options: argparse.Namespace) -> Iterator[Library]:
    """Open the library that is named; raises LibraryError."""
    from app.library.library import Library

    with Library.open(options.library) as library:
        yield library


def _add(options: argparse.Namespace) -> Answer:
    from app.commands.library_words import athlete_answer
    from app.library.people import Told, add_athlete, find_athlete, rename

    consent = {"yes": True, "no": False, None: None}[options.consent]
    told = Told(
        options.birth_year, options.level, options.notes, options.under_age, consent,
        options.consent_on, options.consent_words, options.tag,
    )  # fmt: skip
    with opened(options) as library:
        if options.now_called:
            known = find_athlete(library, options.name)
            return athlete_answer(rename(library, known.id, options.now_called))
        return athlete_answer(add_athlete(library, options.name, told))


def _list(options: argparse.Namespace) -> Answer:
    from app.commands.library_words import list_answer
    from app.library.overview import Wanted, athletes

    wanted = Wanted(quiet_since=options.quiet_since or "")
    with opened(options) as library:
        found = athletes(library, options.order, wanted)
    return list_answer(found, bool(options.quiet_since))


def _find(options: argparse.Namespace) -> Answer:
    from app.commands.library_words import list_answer
    from app.library.overview import Wanted, athletes

    wanted = Wanted(
        " ".join(options.words), options.tag or "", options.finding or "", options.since or "",
        options.until or "",
    )  # fmt: skip
    if wanted == Wanted():
        raise CommandError("Say what to look for: words, --tag, --finding, --since or --until.")
    with opened(options) as library:
        return list_answer(athletes(library, "newest", wanted), True)


def _history(options: argparse.Namespace) -> Answer:
    from app.commands.library_words import history_answer
    from app.library.errors import LibraryError
    from app.library.past import past_of, progress_of
    from app.library.people import find_athlete

    with opened(options) as library:
        past = past_of(library, find_athlete(library, options.athlete).id)
    named = options.review, options.against
    try:
        found = progress_of(past, named[0] or "", named[1] or "")
    except LibraryError:
        if any(named):
            raise
        found = None  # one review has nothing to be held against yet
    return history_answer(past, found)


def _delete(options: argparse.Namespace) -> Answer:
    from app.commands.library_words import deleted_answer, deletion_answer
    from app.library.deleting import delete_athlete, look
    from app.library.people import find_athlete

    places = _places()
    with opened(options) as library:
        known = find_athlete(library, options.athlete)
        found = look(library, known.id, places, _folders(options))
        if not options.yes:
            return deletion_answer(found)
        agreed = found.media if options.media else ()
        return deleted_answer(known.name, delete_athlete(library, found, places, agreed))


def _retention(options: argparse.Namespace) -> Answer:
    from datetime import date

    from app.commands.library_words import retention_answer
    from app.library.deleting import delete_athlete, look
    from app.library.retention import limit_of, older_than
    from app.submission.my_defaults import change_defaults, read_defaults

    if options.keep_months is not None:
        change_defaults(lambda mine: replace(mine, keep_months=options.keep_months))
    months = options.months if options.months is not None else read_defaults().keep_months
    if not months:
        if options.yes or options.months == 0:
            raise CommandError(
                "There is no limit, so nothing is too old; say --months N, or settle one with "
                "--keep-months N."
            )
        return retention_answer(0, "", [], None)
    before = limit_of(months, date.today())
    places = _places()
    with opened(options) as library:
        found = [
            (old, look(library, old.athlete_id, places, _folders(options),
                       None if old.whole else [r.review_id for r in old.reviews]))
            for old in older_than(library, before)
        ]  # fmt: skip
        done = None
        if options.yes:
            done = [
                delete_athlete(library, one, places, one.media if options.media else ())
                for _old, one in found
            ]
    return retention_answer(months, before.isoformat(), found, done)


def _export(options: argparse.Namespace) -> Answer:
    from app.commands.library_words import exported_answer
    from app.commands.recordings import access
    from app.library.exporting import export_athlete
    from app.library.people import find_athlete

    with opened(options) as library:
        known = find_athlete(library, options.athlete)
        made = export_athlete(library, known.id, options.output, access(), _folders(options))
    return exported_answer(made)


def _rebuild(options: argparse.Namespace) -> Answer:
    from app.commands.library_words import rebuilt_answer
    from app.commands.recordings import access
    from app.library.rebuild import rebuild

    show = progress()
    with opened(options) as library:
        made = rebuild(library, options.folder, access(), show)
    if show is not None:
        show(1.0, "")
    return rebuilt_answer(made)


def _share(options: argparse.Namespace) -> Answer:
    from app.library.people import find_athlete, share, unshare

    with opened(options) as library:
        known = find_athlete(library, options.athlete)
        if options.stop:
            unshare(library, known.id, options.coach)
        else:
            share(library, known.id, options.coach, options.write)
    data = {
        "athlete": known.name, "coach": options.coach, "shared": not options.stop,
        "may_write": options.write and not options.stop,
    }  # fmt: skip
    may = "no longer sees" if options.stop else "may change" if options.write else "sees"
    return Answer(data, f"{options.coach} {may} {known.name}.")


def _places() -> Places:
    from app.files.user_folders import cache_folder, config_folder, data_folder
    from app.library.deleting import Places

    return Places(data_folder(), cache_folder(), config_folder())


def _folders(options: argparse.Namespace) -> list[Path]:
    folders: list[Path] = options.look_in or []
    for folder in folders:
        if not folder.is_dir():
            raise CommandError(f"There is no folder {folder.name} to look in.")
    return folders


def _add_options(part: argparse.ArgumentParser) -> None:
    part.add_argument("name", metavar="NAME")
    part.add_argument("--birth-year", type=int, metavar="YEAR")
    part.add_argument("--level", metavar="TEXT", help="such as novice, club or national")
    part.add_argument("--notes", metavar="TEXT")
    part.add_argument("--tag", action="append", metavar="TAG", help="repeat it; replaces all tags")
    part.add_argument(
        "--under-age", action=argparse.BooleanOptionalAction, help="whether the athlete is a minor"
    )
    part.add_argument("--consent", choices=("yes", "no"), help="to being filmed and sent footage")
    part.add_argument("--consent-on", type=words.day, metavar="YYYY-MM-DD")
    part.add_argument("--consent-words", metavar="TEXT", help="what exactly was agreed to")
    part.add_argument(
        "--now-called", metavar="NAME", help="give another name; old reviews still find the athlete"
    )


def _list_options(part: argparse.ArgumentParser) -> None:
    part.add_argument("--order", choices=ORDERS, default="newest")
    part.add_argument(
        "--quiet-since",
        type=words.day,
        metavar="YYYY-MM-DD",
        help="only athletes of whom nothing came since, to be looked through for deletion",
    )


def _find_options(part: argparse.ArgumentParser) -> None:
    part.add_argument("words", nargs="*", metavar="WORD", help="in name, tags, titles or findings")
    part.add_argument("--tag", metavar="TAG")
    part.add_argument("--finding", metavar="CODE")
    part.add_argument("--since", type=words.day, metavar="YYYY-MM-DD")
    part.add_argument("--until", type=words.day, metavar="YYYY-MM-DD")


def _history_options(part: argparse.ArgumentParser) -> None:
    _add_athlete(part)
    part.add_argument("--review", metavar="ID", help="the later review; the newest without it")
    part.add_argument("--against", metavar="ID", help="the earlier one; the last like it without")


def _delete_options(part: argparse.ArgumentParser) -> None:
    _add_athlete(part)
    part.add_argument("--yes", action="store_true", help="do it; without it, say what would go")
    part.add_argument("--media", action="store_true", help="the recordings go as well")
    _add_folders(part)


def _retention_options(part: argparse.ArgumentParser) -> None:
    part.add_argument(
        "--months", type=words.months, metavar="N", help="older than this; your own limit without"
    )
    part.add_argument(
        "--keep-months", type=words.months, metavar="N",
        help="make this your limit, here and in the window; 0 for none",
    )  # fmt: skip
    part.add_argument("--yes", action="store_true", help="delete it; without it, say what would go")
    part.add_argument("--media", action="store_true", help="the recordings go as well")
    _add_folders(part)


def _export_options(part: argparse.ArgumentParser) -> None:
    _add_athlete(part)
    part.add_argument("-o", "--output", type=Path, required=True, metavar="ZIP")
    _add_folders(part)


def _rebuild_options(part: argparse.ArgumentParser) -> None:
    part.add_argument("folder", type=Path, metavar="FOLDER", help="with reviews, also in folders")


def _share_options(part: argparse.ArgumentParser) -> None:
    _add_athlete(part)
    part.add_argument("--with", dest="coach", required=True, metavar="ROLE")
    part.add_argument("--write", action="store_true", help="they may change it, too")
    part.add_argument("--stop", action="store_true", help="take it back")


def _add_athlete(part: argparse.ArgumentParser) -> None:
    part.add_argument("athlete", metavar="ATHLETE", help="a name, or the id that find gives")


def _add_folders(part: argparse.ArgumentParser) -> None:
    part.add_argument(
        "--look-in",
        type=Path,
        action="append",
        metavar="FOLDER",
        help="look here for reviews and recordings that moved",
    )


_PARTS = {
    "add": (_add, "add an athlete, or say more of one", _add_options),
    "list": (_list, "list the athletes and what waits", _list_options),
    "find": (_find, "find athletes by name, tag, finding or date", _find_options),
    "history": (_history, "show an athlete's reviews, and what changed since", _history_options),
    "delete": (_delete, "delete all of an athlete", _delete_options),
    "retention": (_retention, "list what is older than your limit", _retention_options),
    "export": (_export, "write everything about an athlete as one archive", _export_options),
    "rebuild": (_rebuild, "read a folder of reviews into the library", _rebuild_options),
    "share": (_share, "let another coach of a club see an athlete", _share_options),
}
