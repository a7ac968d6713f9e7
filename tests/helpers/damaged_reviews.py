"""A genuine review with something in every usual table, and ways to damage its bytes."""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path

from app.review.parts.marks import new_mark
from app.review.parts.notes import Note, Voice
from app.review.parts.state import ReviewState
from app.review.parts.walk_events import Moved
from app.review.parts.walkthroughs import new_walkthrough
from app.review.voice import to_wav
from tests.helpers.reviews import write_review

PAGE = 4096
WORDS = "Hands away before the trunk rocks over, then hang on the handle until the legs are down. "


def genuine_review(path: Path, notes: int = 40, sound_s: float = 10.0, events: int = 4000) -> None:
    """Write a review of notes, marks, two voices and a walkthrough."""
    rng = random.Random(5)
    pcm = rng.randbytes(int(sound_s * 96_000) // 2 * 2)
    voice = Voice("voice0", sound_s, 48_000, 0.0, sound_s)
    state = ReviewState(
        title="Steady piece",
        athlete="Zoë",
        notes=tuple(
            Note(
                f"{rng.getrandbits(128):032x}",
                float(i),
                f"{i}: " + WORDS * rng.randint(1, 6 if i % 9 else 80),
                None if i % 2 else i + 1.5,
                "drive",
                "arms",
                i,
                voice if i == 3 else None,
            )
            for i in range(notes)
        ),
        marks=tuple(
            new_mark("line", [(float(i), 0.5), (10.0, i * 2.0)], float(i)) for i in range(notes)
        ),
        walkthroughs=(
            new_walkthrough([Moved(i / 60, i / 30) for i in range(events)], events / 60),
        ),
    )
    write_review(path, state, {"voice0": to_wav(pcm), "other": to_wav(pcm[:500])})


def flip_bit(data: bytes, rng: random.Random) -> bytes:
    out = bytearray(data)
    out[rng.randrange(len(out))] ^= 1 << rng.randrange(8)
    return bytes(out)


def flip_bit_of_a_table(data: bytes, rng: random.Random) -> bytes:
    """Flip a bit of a b-tree page: most of a file is sound, where a bit harms nothing."""
    out = bytearray(data)
    trees = [i for i in range(0, len(data), PAGE) if not i or data[i] in (2, 5, 10, 13)]
    out[rng.choice(trees) + rng.randrange(PAGE)] ^= 1 << rng.randrange(8)
    return bytes(out)


def zero_sector(data: bytes, rng: random.Random) -> bytes:
    at = rng.randrange(len(data) // 512) * 512
    return data[:at] + bytes(512) + data[at + 512 :]


def zero_sector_of_a_table(data: bytes, rng: random.Random) -> bytes:
    trees = [i for i in range(0, len(data), PAGE) if not i or data[i] in (2, 5, 10, 13)]
    at = rng.choice(trees) + rng.randrange(PAGE // 512) * 512
    return data[:at] + bytes(512) + data[at + 512 :]


def cut_short(data: bytes, rng: random.Random) -> bytes:
    return data[: rng.randrange(512, len(data))]


def swap_pages(data: bytes, rng: random.Random) -> bytes:
    pages = [data[i : i + PAGE] for i in range(0, len(data), PAGE)]
    a, b = rng.sample(range(len(pages)), 2)
    pages[a], pages[b] = pages[b], pages[a]
    return b"".join(pages)


def zero_first_page(data: bytes, rng: random.Random) -> bytes:
    """Zero the first page, or as much of it as a sector or the header."""
    many = rng.choice((16, 100, 512, PAGE))
    return bytes(many) + data[many:]


def append_rubbish(data: bytes, rng: random.Random) -> bytes:
    return data + rng.randbytes(rng.randrange(1, 20_000))


DAMAGES: dict[str, Callable[[bytes, random.Random], bytes]] = {
    "bit": flip_bit,
    "bit of a table": flip_bit_of_a_table,
    "sector": zero_sector,
    "sector of a table": zero_sector_of_a_table,
    "cut short": cut_short,
    "pages swapped": swap_pages,
    "first page": zero_first_page,
    "rubbish after": append_rubbish,
}
