"""The ground truth of a sample as a JSON document. Its fields are described in docs/sample.md."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

import numpy as np

from samples.camera import Camera, seen
from samples.flywheel import FloatArray
from samples.force_recording import RecorderOptions
from samples.piece import Piece
from samples.rower import Motion

FORMAT = "strokeside-sample"
VERSION = 1


def truth_document(
    piece: Piece,
    motion: Motion,
    camera: Camera,
    shake: FloatArray | None,
    recorder: RecorderOptions,
    options: Mapping[str, Any],
) -> str:
    """Everything that is known about a sample, as text."""
    rate = 1.0 + recorder.drift_ppm * 1e-6

    def both(world_s: float | None) -> dict[str, float | None]:
        if world_s is None:
            return {"video_s": None, "trace_s": None}
        trace_s = (world_s - recorder.offset_s) * rate
        return {"video_s": _r(world_s, 5), "trace_s": _r(trace_s, 5)}

    end_s = float(motion.time_s[-1])
    document = {
        "format": FORMAT,
        "version": VERSION,
        "athlete": "the sample athlete (simulated)",
        "options": dict(options),
        "clocks": {
            "offset_s": recorder.offset_s,
            "drift_ppm": recorder.drift_ppm,
            "rule": "trace_time = (video_time - offset_s) * (1 + drift_ppm * 1e-6)",
        },
        "flywheel": {
            "inertia_kgm2": piece.options.flywheel.inertia_kgm2,
            "drag_nms2": piece.options.flywheel.drag_nms2,
            "sprocket_m": piece.options.flywheel.sprocket_m,
            "cord_n": piece.options.cord_n,
        },
        "faults": [{"code": code, "strength": strength} for code, strength in piece.options.faults],
        "strokes": [
            {
                "catch": both(s.catch_s),
                "finish": both(s.finish_s),
                "next_catch": both(s.next_catch_s),
                "kind": s.kind,
                "peak_n": _r(s.peak_n, 2),
                "pull_m": _r(s.pull_m, 4),
            }
            for s in piece.strokes
        ],
        "handle_turns": [
            {"catch_end_s": _r(c.start_s, 5), "finish_end_s": _r(c.far_s, 5)}
            for c in piece.cycles
            if c.start_s >= 0.0 and c.far_s <= end_s
        ],
        "camera": {
            "width": camera.width,
            "height": camera.height,
            "facing": camera.facing,
            "pixels_per_metre": _r(camera.scale, 4),
        },
        "frames": _frames(motion, camera, shake),
    }
    return json.dumps(document, separators=(",", ":"), allow_nan=False) + "\n"


def _frames(motion: Motion, camera: Camera, shake: FloatArray | None) -> dict[str, Any]:
    return {
        "time_s": _list(motion.time_s, 6),
        "phase": "".join("d" if drive else "r" for drive in motion.drive),
        "travel": _list(motion.travel, 4),
        "points_m": {name: _list(at, 4) for name, at in motion.points.items()},
        "points_px": {
            name: _list(seen(camera, at, shake), 2) for name, at in motion.points.items()
        },
        "angles_deg": {name: _list(np.degrees(a), 2) for name, a in motion.angles.items()},
    }


def _r(value: float, decimals: int) -> float:
    return round(float(value), decimals) + 0.0


def _list(values: FloatArray, decimals: int) -> Any:
    return (np.round(values, decimals) + 0.0).tolist()
