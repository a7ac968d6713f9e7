"""Film of high dynamic range against the formulas of the standards, worked out here once more."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.interpolate import CubicHermiteSpline
from scipy.optimize import brentq

from app.media.clip_frames import ClipFrames, clip_size
from app.media.dynamic_range import Light, hlg_to_scene, light_of, light_to_pq, pq_to_light
from app.media.encode import cut_clip
from app.media.orientation import Turn
from app.media.planes import matrix_of, planes_of, to_rgb
from app.media.proxy import Proxy
from app.media.video import VideoFile
from tests.helpers.clips import needs_ffmpeg, run_ffmpeg
from tests.helpers.patience import HANGS_S
from tests.helpers.stills import write_still

Floats = NDArray[np.float64]
SIDE = 40  # of a patch
TAGS = {"pq": "smpte2084", "hlg": "arib-std-b67", "wide": "bt2020-10"}
# x, y of red, green, blue; white is D65 in both (BT.2020, BT.709).
CORNERS = {
    "bt2020": ((0.708, 0.292), (0.170, 0.797), (0.131, 0.046)),
    "bt709": ((0.640, 0.330), (0.300, 0.600), (0.150, 0.060)),
}
# Two skins and four others of the 24-patch chart of McCamy, Marcus, Davidson (1976), as sRGB.
CHART = [(115, 82, 68), (194, 150, 130), (98, 122, 157), (87, 108, 67), (175, 54, 60), (52, 52, 52)]
GREYS = [0.0, 1.0, 5.0, 26.0, 60.0, 100.0, 203.0, 400.0, 700.0, 1000.0]  # cd/m2


def to_xyz(name: str) -> Floats:
    """From linear RGB to XYZ, from where the corners and white lie."""
    corners = np.array([(x / y, 1.0, (1 - x - y) / y) for x, y in CORNERS[name]]).T
    white = np.array([0.3127 / 0.3290, 1.0, (1 - 0.3127 - 0.3290) / 0.3290])
    return corners * np.linalg.solve(corners, white)


def patches() -> Floats:
    """(N, 3) light in cd/m2 in BT.2020: a ramp of grey, then the chart with white at 203."""
    signal = np.array(CHART) / 255
    linear = np.where(signal <= 0.04045, signal / 12.92, ((signal + 0.055) / 1.055) ** 2.4)
    wide = linear @ (np.linalg.inv(to_xyz("bt2020")) @ to_xyz("bt709")).T
    return np.vstack([np.repeat(GREYS, 3).reshape(-1, 3), 203 * wide])


def pq_light(signal: float) -> float:
    """ST 2084, in its integers."""
    root = signal ** (32 / 2523)
    return float(
        1e4 * (max(root - 107 / 128, 0) / (2413 / 128 - 2392 / 128 * root)) ** (8192 / 1305)
    )


@cache
def pq_signal(light: float) -> float:
    return float(brentq(lambda e: pq_light(e) - light, 0.0, 1.0)) if light > 0 else 0.0


def hlg_signal(light: Floats) -> Floats:
    """Of a colour on a display of 1000 cd/m2 (BT.2100: inverse OOTF, then OETF)."""
    share = light / 1000
    luminance = share @ np.array([0.2627, 0.6780, 0.0593])
    scene = share * np.maximum(luminance, 1e-9)[:, None] ** (1 / 1.2 - 1)
    a, b = 0.17883277, 1 - 4 * 0.17883277
    high = a * np.log(np.maximum(12 * scene - b, 1e-9)) + 0.5 - a * np.log(4 * a)
    return np.where(scene <= 1 / 12, np.sqrt(3 * scene), high)


def bent(light: float) -> float:
    """BT.2390's EETF, its spline from its two ends: (KS, KS) rising by 1, (1, most) level."""
    top, most = pq_signal(1000.0), pq_signal(203.0) / pq_signal(1000.0)
    knee = 1.5 * most - 0.5
    signal = min(pq_signal(light) / top, 1.0)
    spline = CubicHermiteSpline([knee, 1.0], [knee, most], [1.0, 0.0])
    return pq_light(float(spline(signal) if signal > knee else signal) * top)


def expected(light: Floats, kind: str) -> Floats:
    """Levels of an 8-bit picture."""
    factor = np.ones(len(light))
    if kind != "wide":
        factor = np.array([bent(m) / m if m > 0 else 1.0 for m in light.max(axis=1)])
    ordinary = light * factor[:, None] @ (np.linalg.inv(to_xyz("bt709")) @ to_xyz("bt2020")).T
    return 255 * np.clip(ordinary / 203, 0, 1) ** (1 / 2.4)


def film(folder: Path, kind: str, light: Floats) -> Path:
    """Ten-bit HEVC without loss, patches side by side, tagged as a phone tags it."""
    if kind == "pq":
        signal = np.vectorize(pq_signal)(np.minimum(np.maximum(light, 0), 1e4))
    else:
        signal = hlg_signal(light) if kind == "hlg" else np.clip(light / 203, 0, 1) ** (1 / 2.4)
    luma = signal @ np.array([0.2627, 0.6780, 0.0593])
    blue, red = (signal[:, 2] - luma) / 1.8814, (signal[:, 0] - luma) / 1.4746
    line = [64 + 876 * luma, 512 + 896 * blue, 512 + 896 * red]
    planes = [
        np.tile(np.repeat(np.round(p), side), (side, 1)).astype("<u2")
        for p, side in zip(line, (SIDE, SIDE // 2, SIDE // 2), strict=True)
    ]
    path = folder / f"{kind}.mov"
    run_ffmpeg(
        "-f", "rawvideo", "-pix_fmt", "yuv420p10le", "-s", f"{SIDE * len(light)}x{SIDE}", "-r",
        "30", "-i", "-", "-c:v", "libx265", "-tag:v", "hvc1", "-x265-params",
        f"log-level=none:lossless=1:colorprim=bt2020:transfer={TAGS[kind]}:colormatrix=bt2020nc",
        "-color_primaries", "bt2020", "-color_trc", TAGS[kind], "-colorspace", "bt2020nc", path,
        stdin=b"".join(p.tobytes() for p in planes) * 12,
    )  # fmt: skip
    return path


def levels_in(image: NDArray[np.uint8], count: int) -> Floats:
    """(N, 3) level in the middle of each patch."""
    width, height = image.shape[1] / count, image.shape[0]
    across = [int((k + 0.5) * width) for k in range(count)]
    return image[height // 2, across, :3].astype(float)


def of_film(path: Path, *filters: str) -> NDArray[np.uint8]:
    light = len(patches())
    raw = run_ffmpeg(
        "-i", path, *filters, "-frames:v", "1", "-pix_fmt", "rgb24", "-f", "rawvideo", "-"
    )
    data = np.frombuffer(raw, np.uint8)
    side = round((len(data) / 3 / light) ** 0.5)
    return data.reshape(side, side * light, 3)


def test_published_points() -> None:
    # ITU-R BT.2408: PQ of 58 % is 203 cd/m2, of 38 % 26; HLG of 75 % and 38 % are the same two.
    np.testing.assert_allclose(pq_to_light(np.array([0.508, 0.7518])), [100, 1000], rtol=2e-3)
    np.testing.assert_allclose(
        light_to_pq(np.array([203.0, 26.0, 1e4])), [0.58, 0.38, 1], atol=2e-3
    )
    scene = hlg_to_scene(np.array([0.0, 0.5, 0.75, 0.38, 1.0]))
    np.testing.assert_allclose(scene[[0, 1, 4]], [0, 1 / 12, 1], atol=1e-6)
    np.testing.assert_allclose(1000 * scene[2:4] ** 1.2, [203, 26], rtol=0.02)


@needs_ffmpeg
@pytest.mark.parametrize("kind", ["pq", "hlg", "wide"])
def test_grey_and_skin_land_where_the_standards_put_them(tmp_path: Path, kind: str) -> None:
    light = patches()
    path, wanted = film(tmp_path, kind, light), expected(light, kind)
    with VideoFile.open(path) as video:
        image = video.frame_rgb(0)
        found = levels_in(image, len(light))
        assert np.abs(found - wanted).max() <= 3
        # On the screen, smaller; in blue, green, red.
        small = video.frame_bgra(0, video.width // 2, video.height)
        assert np.abs(levels_in(small, len(light))[:, ::-1] - wanted).max() <= 3
    black, white = found[0], found[GREYS.index(203.0)]
    assert black.max() <= 1  # no haze
    assert np.abs(white - (255 if kind == "wide" else 230)).max() <= 1
    assert (np.diff(found[: len(GREYS)], axis=0) >= 0).all()


@needs_ffmpeg
@pytest.mark.parametrize("kind", ["pq", "hlg"])
def test_still_clip_and_walkthrough_show_the_same(tmp_path: Path, kind: str) -> None:
    light = patches()
    path, wanted = film(tmp_path, kind, light), expected(light, kind)
    still, clip = tmp_path / "still.png", tmp_path / "clip.mp4"
    write_still(path, 0.0, still)
    assert np.abs(levels_in(of_film(still), len(light)) - wanted).max() <= 3
    cut_clip(path, 0.0, 0.2, clip)
    shown = of_film(clip, "-vf", "scale=in_color_matrix=bt709")
    assert np.abs(levels_in(shown, len(light)) - wanted).mean() <= 3
    with VideoFile.open(path) as video:
        frame = video.decoded(0)
        assert light_of(frame) is (Light.PQ if kind == "pq" else Light.HLG)
        planes = planes_of(frame, video.width, video.height, matrix_of(frame))
        shown = to_rgb(planes, matrix_of(frame))
        assert np.abs(levels_in(shown, len(light)) - wanted).max() <= 6  # through 8-bit 4:2:0
        frames = ClipFrames(video, clip_size(video, Turn(), 720))
        assert light_of(frames.frame(0)) is None  # never mapped twice


@needs_ffmpeg
def test_the_quick_copy_shows_the_same(tmp_path: Path) -> None:
    light = patches()
    with VideoFile.open(film(tmp_path, "pq", light)) as video:
        proxy = Proxy(video, 2**30, begin_after_s=0.0)
        proxy._thread.join(HANGS_S)
        small = proxy.frame(3)
        assert small is not None and light_of(small.frame) is Light.PQ
        found = levels_in(video.finish(small), len(light))[:, ::-1]
        proxy.close()
    assert np.abs(found - expected(light, "pq")).mean() <= 4


@needs_ffmpeg
def test_what_is_tagged_as_ordinary_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "plain.mp4"
    run_ffmpeg("-f", "lavfi", "-i", "color=0x808080:size=64x64:rate=10:duration=1", "-c:v",
               "libx264", "-colorspace", "bt709", "-color_trc", "bt709", path)  # fmt: skip
    with VideoFile.open(path) as video:
        assert light_of(video.decoded(0)) is None
        assert np.abs(video.frame_rgb(0).astype(int) - 128).max() <= 2
