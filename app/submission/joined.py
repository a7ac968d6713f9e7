"""Several force files of one piece, joined into a file of their own before they are opened."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from app.files.atomic import write
from app.review.values.text import clean_name
from app.submission.kinds import kind_of
from app.submission.pairing import Proposal
from app.submission.pieces import piece_of
from app.submission.refusals import refusal_of

if TYPE_CHECKING:
    from analysis.force.joining import JoinedForce
    from analysis.force.trace import ColumnMapping


@dataclass(frozen=True)
class JoinedFiles:
    """A submission with one force file at most.

    Attributes
    ----------
    files : what to open
    said : what was joined or left out, "" where nothing had to be
    made : the file that was written for it, which needs no mapping of its columns; None without
    """

    files: tuple[Path, ...]
    said: str = ""
    made: Path | None = None


@contextmanager
def joined_forces(
    files: Sequence[Path],
    keep_in: Path | None,
    mapping_of: Callable[[Path], ColumnMapping | None],
) -> Iterator[JoinedFiles]:
    """Give the files of a submission with its force files joined by their times.

    Parameters
    ----------
    keep_in : the folder for the joined file; None where it is not needed afterwards. Of work that
        fails nothing is left

    Raises
    ------
    TraceError
        One of them cannot be read, or nothing tells how they lie, in one sentence.
    """
    forces = [path for path in files if path.is_file() and not refusal_of(path)]
    forces = [path for path in forces if kind_of(path) == "trace"]
    if len({path.resolve() for path in forces}) < len(forces) or len(forces) < 2:
        yield JoinedFiles(tuple(files))
        return
    joined = join_tables(forces, mapping_of)
    others = [path for path in files if path not in forces]
    if not joined.table:
        yield JoinedFiles((*others, forces[0]), joined.said)
        return
    with TemporaryDirectory(prefix="strokeside-") as passing:
        made = write_joined(joined, keep_in or Path(passing), forces[0].stem)
        try:
            kept = "" if keep_in is None else f" The whole is kept as {clean_name(made.name)}."
            yield JoinedFiles((*others, made), joined.said + kept, made)
        except BaseException:
            made.unlink(missing_ok=True)
            raise


def join_tables(
    forces: Sequence[Path], mapping_of: Callable[[Path], ColumnMapping | None] = lambda path: None
) -> JoinedForce:
    """Read force files and join them by their times.

    Raises
    ------
    TraceError
        As `joined_forces`.
    """
    from analysis.force.joining import ForceFile, join_force

    read = [ForceFile(clean_name(p.name), piece_of(p, mapping_of(p)).trace) for p in forces]
    return join_force(read)


def write_joined(joined: JoinedForce, folder: Path, stem: str) -> Path:
    """Write what was joined into a folder, beside what lies there."""
    made = _free(folder, stem)
    write(made, joined.table.encode())
    return made


def joined_proposal(paths: Sequence[Path]) -> Proposal | None:
    """What would be opened if force files of one film, or of none, were of one piece.

    None where they cannot be joined; nothing is written yet.
    """
    kinds = {path: kind_of(path) for path in paths if not refusal_of(path)}
    films = [path for path, kind in kinds.items() if kind == "video"]
    forces = [path for path, kind in kinds.items() if kind == "trace"]
    if len(films) > 1 or len(forces) < 2:
        return None
    try:
        said = join_tables(forces).said
    except ValueError:
        return None
    return Proposal(next(iter(films), None), why=said, joins=tuple(forces))


def _free(folder: Path, stem: str) -> Path:
    """A name nothing has yet: what lies there is never written over."""
    for number in range(1, 1000):
        path = folder / f"{stem} joined{'' if number == 1 else f' {number}'}.csv"
        if not path.exists():
            return path
    return folder / f"{stem} joined.csv"
