"""What a program asks the system of the files of one folder, recorded by strace, played again."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from tests.benchmarks.document.disk import File, Folder

_CALLS = (
    "open,openat,creat,close,dup,dup2,dup3,lseek,write,pwrite64,writev,pwritev,pwritev2,sendfile,"
    "copy_file_range,fallocate,ftruncate,truncate,fsync,fdatasync,sync_file_range,unlink,unlinkat,"
    "rmdir,rename,renameat,renameat2,link,linkat,mkdir,mkdirat"
)
_LINE = re.compile(r"(\d+) +(\w+)\((.*)\) += (-?\d+)")
_BEGUN = re.compile(r"(\d+) +(\w+\(.*) <unfinished \.\.\.>$")
_RESUMED = re.compile(r"(\d+) +<\.\.\. \w+ resumed>(.*)$")
# A string, or the path strace writes behind the number of an open file or folder.
_WORDS = re.compile(r'"((?:\\x[0-9a-f]{2})*)"(\.\.\.)?|<((?:\\x[0-9a-f]{2})*)>')


class Unknown(Exception):
    """A call whose effect on the files this model does not know."""


@dataclass(frozen=True)
class Call:
    """One call that went well.

    Attributes
    ----------
    args : its arguments as strace writes them, without what its strings hold
    data : the bytes it wrote
    paths : those among its arguments; one from an open folder is joined with it
    gave : what it gave back
    """

    name: str
    args: str
    data: bytes
    paths: tuple[Path, ...]
    gave: int

    def number(self, place: int) -> int:
        """A number among its arguments, counted from 0; -1 where it is none."""
        plain = self.args.split(", ")[place]
        return int(plain) if re.fullmatch(r"-?\d+", plain) else -1


def _parsed(name: str, args: str, gave: int) -> Call:
    found, base = list[bytes](), ""
    paths: list[Path] = []
    for match in _WORDS.finditer(args):
        if match[3] is not None:
            base = os.fsdecode(_bytes(match[3]))
            continue
        if match[2]:
            raise Unknown(f"a string of {name} was cut off")
        found.append(_bytes(match[1]))
        if "write" not in name:
            paths.append(Path(base, os.fsdecode(found[-1])))
    plain = _WORDS.sub(lambda match: "" if match[1] is None else '""', args)
    return Call(name, plain, b"".join(found)[: max(gave, 0)], tuple(paths), gave)


def _bytes(text: str) -> bytes:
    return bytes.fromhex(text.replace("\\x", ""))


def is_available() -> bool:
    """Whether strace is here and may trace."""
    if shutil.which("strace") is None:
        return False
    return subprocess.run(["strace", "-o", os.devnull, "true"], capture_output=True).returncode == 0


def record(command: list[str], root: Path, log: Path, said: Path) -> list[Call]:
    """Run a program under strace.

    Parameters
    ----------
    root : the folder whose files matter; its `home` becomes the program's home
    log : takes what strace writes
    said : takes the program's stdout, on which it acknowledges
    """
    trace = ["strace", "-f", "--seccomp-bpf", "-y", "-xx", "-s", "4000000", "-o", str(log)]
    trace += ["-e", "trace=" + ",".join(f"?{name}" for name in _CALLS.split(","))]
    homes = ("HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_CACHE_HOME")
    env = {
        **os.environ,
        **{name: str(root / "home") for name in homes},
        "PYTHONDONTWRITEBYTECODE": "1",
    }
    with said.open("wb") as out:
        subprocess.run([*trace, *command], stdout=out, check=True, env=env,
                       cwd=Path(__file__).resolve().parents[3])  # fmt: skip
    return list(_calls(log, root))


def python_job(*arguments: object) -> list[str]:
    """The command line of a job of actor.py."""
    return [sys.executable, "-m", "tests.benchmarks.document.actor", *map(str, arguments)]


def _calls(log: Path, root: Path) -> Iterator[Call]:
    """The calls that went well and concern the folder, in the order in which they came back."""
    begun: dict[str, str] = {}
    here = "".join(f"\\x{byte:02x}" for byte in os.fsencode(root))
    with log.open() as lines:
        for raw in lines:
            line = raw.rstrip("\n")
            if half := _BEGUN.match(line):
                begun[half[1]] = half[2]
                continue
            if rest := _RESUMED.match(line):
                line = f"{rest[1]} {begun.pop(rest[1])}{rest[2]}"
            if here not in line and "write(1<" not in line:
                continue
            if (whole := _LINE.match(line)) and int(whole[4]) >= 0:
                yield _parsed(whole[2], whole[3], int(whole[4]))


@dataclass
class _Open:
    """A file or folder that is open, and where the next write goes."""

    what: File | Folder
    at: int = 0
    append: bool = False


class Player:
    """Plays calls on a model of one folder.

    Parameters
    ----------
    root : the folder as the calls name it; whatever lies elsewhere is passed by
    folder : what it held before
    """

    def __init__(self, root: Path, folder: Folder) -> None:
        self.root = root
        self.folder = folder
        self._open: dict[int, _Open] = {}
        self._handlers: dict[str, Callable[[Call], None]] = {
            "open": self._opened,
            "openat": self._opened,
            "creat": self._opened,
            "close": self._closed,
            "dup": self._doubled,
            "dup2": self._doubled,
            "dup3": self._doubled,
            "lseek": self._sought,
            "write": self._written,
            "pwrite64": self._written_at,
            "sendfile": self._copied,
            "fsync": self._synced,
            "fdatasync": self._synced,
            "ftruncate": self._resized,
            "unlink": self._removed,
            "unlinkat": self._removed,
            "rmdir": self._removed,
            "rename": self._renamed,
            "renameat": self._renamed,
            "renameat2": self._renamed,
            "link": self._linked,
            "linkat": self._linked,
            "mkdir": self._made_folder,
            "mkdirat": self._made_folder,
        }

    @property
    def has_open(self) -> bool:
        """Whether anything of the folder is open."""
        return bool(self._open)

    def play(self, call: Call) -> str | None:
        """Let a call have its effect; gives what was said on stdout, if the call said something."""
        if call.name == "write" and call.number(0) == 1:
            return call.data.decode()
        handler = self._handlers.get(call.name)
        if handler is not None:
            handler(call)
        elif call.number(0) in self._open or any(self._find(p) for p in call.paths):
            raise Unknown(f"{call.name}({call.args[:200]})")
        return None

    def _find(self, path: Path) -> tuple[Folder, str] | None:
        """The folder and the name of a path, None for one that lies elsewhere."""
        if not path.is_relative_to(self.root) or path == self.root:
            return None
        *folders, name = path.relative_to(self.root).parts
        here = self.folder
        for part in folders:
            inner = here.now().get(part)
            if not isinstance(inner, Folder):
                raise Unknown(f"no folder {path.parent}")
            here = inner
        return here, name

    def _file(self, call: Call, place: int = 0) -> File | None:
        opened = self._open.get(call.number(place))
        return opened.what if opened is not None and isinstance(opened.what, File) else None

    def _opened(self, call: Call) -> None:
        path = call.paths[0]
        place = self._find(path)
        self._open.pop(call.gave, None)
        if path == self.root:
            self._open[call.gave] = _Open(self.folder)
        if place is None:
            return
        if "O_TMPFILE" in call.args:
            raise Unknown("a file without a name")
        folder, name = place
        entry = folder.now().get(name)
        if entry is None:
            entry = File()
            folder.change({name: entry})
        elif isinstance(entry, File) and ("O_TRUNC" in call.args or call.name == "creat"):
            entry.resize(0)
        self._open[call.gave] = _Open(entry, 0, "O_APPEND" in call.args)

    def _closed(self, call: Call) -> None:
        self._open.pop(call.number(0), None)

    def _doubled(self, call: Call) -> None:
        if call.number(0) in self._open:
            self._open[call.gave] = self._open[call.number(0)]

    def _sought(self, call: Call) -> None:
        if call.number(0) in self._open:
            self._open[call.number(0)].at = call.gave

    def _written_at(self, call: Call) -> None:
        file = self._file(call)
        if file is not None:
            file.write(call.number(3), call.data)

    def _written(self, call: Call) -> None:
        if self._file(call) is not None:
            self._append(call.number(0), call.data)

    def _append(self, handle: int, data: bytes) -> None:
        opened = self._open[handle]
        if isinstance(opened.what, File):
            if opened.append:
                opened.at = len(opened.what.now())
            opened.what.write(opened.at, data)
            opened.at += len(data)

    def _copied(self, call: Call) -> None:
        if self._file(call) is None:
            return
        source = self._file(call, 1)
        if source is None:
            raise Unknown("a copy from outside of the folder")
        given = re.search(r"\[(\d+)\]", call.args)
        start = int(given[1]) if given else self._open[call.number(1)].at
        self._append(call.number(0), bytes(source.now()[start : start + call.gave]))

    def _synced(self, call: Call) -> None:
        if call.number(0) in self._open:
            self._open[call.number(0)].what.sync()

    def _resized(self, call: Call) -> None:
        file = self._file(call)
        if file is not None:
            file.resize(call.number(1))

    def _removed(self, call: Call) -> None:
        place = self._find(call.paths[0])
        if place is not None:
            place[0].change({place[1]: None})

    def _renamed(self, call: Call) -> None:
        before, after = (self._find(path) for path in call.paths[:2])
        if before is None and after is None:
            return
        if before is None or after is None:
            raise Unknown("a rename across the edge of the folder")
        moved = before[0].now()[before[1]]
        if before[0] is after[0]:
            before[0].change({before[1]: None, after[1]: moved})
        else:
            before[0].change({before[1]: None})
            after[0].change({after[1]: moved})

    def _linked(self, call: Call) -> None:
        before, after = (self._find(path) for path in call.paths[:2])
        if before is not None and after is not None:
            after[0].change({after[1]: before[0].now()[before[1]]})

    def _made_folder(self, call: Call) -> None:
        place = self._find(call.paths[0])
        if place is not None:
            place[0].change({place[1]: Folder()})
