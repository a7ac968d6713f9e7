"""The tables of version 1 of a review file."""

from __future__ import annotations

from typing import Final

TABLES_1: Final = (
    """CREATE TABLE meta (
        key TEXT PRIMARY KEY NOT NULL,
        value TEXT NOT NULL
    )""",
    """CREATE TABLE media (
        kind TEXT PRIMARY KEY NOT NULL CHECK (kind IN ('video', 'trace')),
        path TEXT NOT NULL,
        size INTEGER NOT NULL,
        sha256 TEXT NOT NULL,
        force_column INTEGER,
        force_unit TEXT,
        time_column INTEGER,
        time_unit TEXT,
        interval_s REAL,
        position_column INTEGER,
        position_unit TEXT,
        capture_fps REAL
    )""",
    """CREATE TABLE alignment (
        id INTEGER PRIMARY KEY CHECK (id = 1),
        offset_s REAL NOT NULL,
        drift_ppm REAL NOT NULL,
        uncertainty_s REAL,
        method TEXT NOT NULL,
        ambiguous INTEGER NOT NULL CHECK (ambiguous IN (0, 1))
    )""",
    """CREATE TABLE pair (
        place INTEGER PRIMARY KEY,
        video_s REAL NOT NULL,
        trace_s REAL NOT NULL
    )""",
    """CREATE TABLE note (
        place INTEGER PRIMARY KEY,
        id TEXT NOT NULL UNIQUE,
        video_s REAL NOT NULL,
        end_s REAL,
        phase TEXT NOT NULL,
        body_part TEXT NOT NULL,
        stroke INTEGER,
        text TEXT NOT NULL
    )""",
    """CREATE TABLE voice (
        note_id TEXT PRIMARY KEY NOT NULL,
        sound_id TEXT NOT NULL,
        length_s REAL NOT NULL,
        sample_hz INTEGER NOT NULL,
        trim_start_s REAL NOT NULL,
        trim_end_s REAL NOT NULL
    )""",
    """CREATE TABLE voice_sound (
        id TEXT PRIMARY KEY NOT NULL,
        wav BLOB NOT NULL
    )""",
    """CREATE TABLE target (
        id INTEGER PRIMARY KEY CHECK (id = 1),
        name TEXT NOT NULL,
        axis TEXT NOT NULL CHECK (axis IN ('time', 'length')),
        start_pct REAL NOT NULL,
        build_up_end_pct REAL NOT NULL,
        plateau_end_pct REAL NOT NULL,
        decline_end_pct REAL NOT NULL,
        level_n REAL NOT NULL,
        hold_equal INTEGER NOT NULL CHECK (hold_equal IN (0, 1))
    )""",
    """CREATE TABLE target_point (
        place INTEGER PRIMARY KEY,
        percent REAL NOT NULL,
        fraction REAL NOT NULL
    )""",
    """CREATE TABLE turn (
        id INTEGER PRIMARY KEY CHECK (id = 1),
        quarter_turns INTEGER NOT NULL CHECK (quarter_turns BETWEEN 0 AND 3),
        mirrored INTEGER NOT NULL CHECK (mirrored IN (0, 1)),
        lift REAL NOT NULL CHECK (lift BETWEEN 0 AND 1)
    )""",
    """CREATE TABLE decision (
        place INTEGER PRIMARY KEY,
        code TEXT NOT NULL UNIQUE,
        kept INTEGER NOT NULL CHECK (kept IN (0, 1)),
        note_id TEXT NOT NULL
    )""",
    """CREATE TABLE threshold (
        place INTEGER PRIMARY KEY,
        name TEXT NOT NULL UNIQUE,
        value REAL NOT NULL
    )""",
    """CREATE TABLE mark (
        place INTEGER PRIMARY KEY,
        id TEXT NOT NULL UNIQUE,
        kind TEXT NOT NULL,
        colour TEXT NOT NULL,
        text TEXT NOT NULL,
        video_s REAL NOT NULL,
        end_s REAL
    )""",
    """CREATE TABLE mark_point (
        mark_id TEXT NOT NULL,
        place INTEGER NOT NULL,
        x_px REAL NOT NULL,
        y_px REAL NOT NULL,
        PRIMARY KEY (mark_id, place)
    )""",
    """CREATE TABLE scale (
        id INTEGER PRIMARY KEY CHECK (id = 1),
        metres_per_px REAL NOT NULL
    )""",
    """CREATE TABLE flywheel (
        id INTEGER PRIMARY KEY CHECK (id = 1),
        inertia_kgm2 REAL NOT NULL,
        drag_nms2 REAL NOT NULL,
        sprocket_m REAL NOT NULL,
        inertia_sd REAL NOT NULL,
        drag_sd REAL NOT NULL
    )""",
)
