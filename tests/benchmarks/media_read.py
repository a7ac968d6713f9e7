"""How many films are opened, refused and misread, held against ffprobe.

    python -m tests.benchmarks.media_read FOLDER [FOLDER ...] [--made]

Of every film: how many frames, the times of the first, the middle and the last one from the first
shown, width and height as it is shown (turned, pixels made square) and frames a second. A film is
misread where one of them differs from what ffprobe decodes. With --made, films of other containers
and clocks are made by ffmpeg first. What ffprobe cannot decode it leaves out: a damaged picture
counts as a frame here, for its time is known, and such a film is held against its packets.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import tempfile
from collections import Counter
from pathlib import Path
from typing import Any

from app.media.errors import MediaError
from app.media.video import VideoFile
from app.submission.kinds import FILM_ENDINGS

RAW = frozenset({".h264", ".h265"})
WITHIN_S = 0.0011  # Matroska keeps whole milliseconds
PICTURE = ["-f", "lavfi", "-i", "testsrc=s=96x64:r=30:d=1"]
LATE = ["-output_ts_offset", "5", "-c:v", "libx264"]
MADE: dict[str, list[str]] = {
    "bframes.mp4": ["-c:v", "libx264", "-bf", "3"],
    "wide_pixels.mp4": ["-vf", "setsar=4/3", "-c:v", "libx264"],
    "uneven.mkv": ["-vf", "select='not(mod(n,3))+not(mod(n,7))'", "-fps_mode", "vfr"],
    "late.mp4": LATE,
    "late.ts": LATE,
    "late.mkv": LATE,
    "fragments.mp4": ["-c:v", "libx264", "-movflags", "frag_keyframe+empty_moov"],
    "ntsc.mov": ["-r", "60000/1001", "-c:v", "mpeg4"],
    "old.avi": ["-c:v", "mpeg4", "-bf", "2"],
    "jpeg.avi": ["-c:v", "mjpeg"],
    "vp9.webm": ["-c:v", "libvpx-vp9", "-cpu-used", "8"],
    "odd.mp4": ["-vf", "crop=95:63", "-pix_fmt", "yuv444p", "-c:v", "libx264"],
    "program.mpg": ["-c:v", "mpeg2video", "-bf", "2"],
    "open_groups.mp4": ["-c:v", "libx264", "-x264-params", "open-gop=1:keyint=10:bframes=3"],
}


def make(folder: Path) -> None:
    """Write a second of picture in many ways."""
    for name, how in MADE.items():
        call = ["ffmpeg", "-v", "error", "-y", *PICTURE, *how, str(folder / name)]
        subprocess.run(call, check=True)


def probe(film: Path, *wanted: str) -> list[dict[str, Any]]:
    """What ffprobe says of streams, frames or packets; nothing where it cannot."""
    call = ["ffprobe", "-v", "error", *wanted, "-of", "json", str(film)]
    told = subprocess.run(call, capture_output=True, text=True, check=False).stdout
    said = json.loads(told or "{}")
    return next((v for k, v in said.items() if k in ("streams", "frames", "packets")), [])


def times(film: Path, stream: int, what: str, *fields: str) -> list[float]:
    """When each frame or packet of a stream is shown, from the first; by the first field told."""
    entries = f"{what}={','.join(fields)}"
    said = probe(film, "-select_streams", str(stream), "-show_entries", entries)
    told = [next((each[f] for f in fields if f in each), None) for each in said]
    at = sorted(float(t) for t in told if t is not None)
    if what == "frame" and len(at) > 1:
        # Where a container keeps no such times, the last frames come without one: a step each.
        late = len(told) - max(i for i, t in enumerate(told) if t is not None) - 1
        at += [at[-1] + (n + 1) * (at[-1] - at[-2]) for n in range(late)]
    return [t - at[0] for t in at]


def shown_size(stream: dict[str, Any]) -> tuple[int, int]:
    """Width and height on the screen."""
    width, height = stream["width"], stream["height"]
    across, _, down = stream.get("sample_aspect_ratio", "1:1").partition(":")
    if int(across) and int(down) and across != down:
        width = round(width * int(across) / int(down))
    turned = [int(d["rotation"]) for d in stream.get("side_data_list", []) if "rotation" in d]
    return (height, width) if turned and turned[0] % 180 else (width, height)


def judged(film: Path) -> str:
    """Say "opened", "refused", or what was misread."""
    try:
        with VideoFile.open(film) as video:
            time_s, width, height = video.index.time_s, video.width, video.height
    except MediaError as error:
        return f"refused: {error}"
    ours = [float(t) - float(time_s[0]) for t in time_s]
    entries = "stream=index,codec_type,width,height,sample_aspect_ratio:stream_side_data=rotation"
    streams = probe(film, "-show_entries", entries)
    why = "misread: no stream of pictures"
    for stream in (s for s in streams if s["codec_type"] == "video"):
        why = differs(film, stream, ours, width, height)
        if not why:
            return "opened"
    return why


def differs(film: Path, stream: dict[str, Any], ours: list[float], width: int, height: int) -> str:
    """What of a stream is not as it was read, "" where all is."""
    theirs = times(film, stream["index"], "frame", "best_effort_timestamp_time", "pkt_dts_time")
    if len(theirs) != len(ours):
        theirs = times(film, stream["index"], "packet", "pts_time")
    if len(theirs) != len(ours):
        return f"misread: {len(ours)} frames, not {len(theirs)}"
    for at in (0, len(ours) // 2, len(ours) - 1):
        if abs(ours[at] - theirs[at]) > WITHIN_S:
            return f"misread: frame {at} at {ours[at]:.4f} s, not {theirs[at]:.4f}"
    if (width, height) != shown_size(stream):
        return f"misread: {width} x {height}, not {shown_size(stream)}"
    return ""


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("folders", type=Path, nargs="*")
    parser.add_argument("--made", action="store_true")
    given = parser.parse_args()
    counts: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as place:
        if given.made:
            make(Path(place))
        for folder in (*given.folders, Path(place)):
            for film in sorted(folder.rglob("*")):
                if film.suffix.lower() in FILM_ENDINGS | RAW:
                    said = judged(film)
                    counts[said.partition(":")[0]] += 1
                    print(f"{film.name[:50]:50s} {said}", flush=True)
    print(dict(counts))


if __name__ == "__main__":
    main()
