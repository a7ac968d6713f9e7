"""Films of one piece cut in parts: each frame carries the number it has in the whole piece."""

from __future__ import annotations

from pathlib import Path

from tests.helpers.clips import numbered, run_ffmpeg

FPS = 30


def cut_film(
    path: Path, first: int, last: int, size: tuple[int, int] = (320, 180), *more: str
) -> Path:
    """Frames `first` to `last` of one long film, with a tone that rises from film to film.

    Parameters
    ----------
    more : further arguments of the ffmpeg program
    """
    frames = b"".join(numbered(i, *size).tobytes() for i in range(first, last))
    tone = ("-f", "lavfi", "-i", f"sine={400 + 10 * first}:duration={(last - first) / FPS}")
    run_ffmpeg(
        "-f", "rawvideo", "-pix_fmt", "rgb24", "-s", f"{size[0]}x{size[1]}", "-r", str(FPS),
        "-i", "-", *tone, "-c:v", "libx264", "-preset", "veryfast", "-pix_fmt", "yuv420p",
        "-bf", "3", "-g", "12", "-c:a", "aac", *more, path, stdin=frames,
    )  # fmt: skip
    return path
