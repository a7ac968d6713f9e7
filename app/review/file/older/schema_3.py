"""The tables of version 3 of a review file, as they were made."""

from __future__ import annotations

from typing import Final

TABLES_3: Final[tuple[str, ...]] = (
    """CREATE TABLE meta (
    key TEXT NOT NULL,
    value TEXT NOT NULL,
    PRIMARY KEY (key)
)""",
    """CREATE TABLE media (
    kind TEXT NOT NULL,
    path TEXT NOT NULL,
    size INTEGER NOT NULL,
    sha256 TEXT NOT NULL,
    ends_sha256 TEXT NOT NULL,
    force_column INTEGER,
    force_unit TEXT,
    time_column INTEGER,
    time_unit TEXT,
    interval_s REAL,
    position_column INTEGER,
    position_unit TEXT,
    capture_fps REAL,
    PRIMARY KEY (kind)
)""",
    """CREATE TABLE alignment (
    id INTEGER NOT NULL CHECK (id = 1),
    offset_s REAL NOT NULL,
    drift_ppm REAL NOT NULL,
    uncertainty_s REAL,
    method TEXT NOT NULL,
    ambiguous INTEGER NOT NULL CHECK (ambiguous IN (0, 1)),
    PRIMARY KEY (id)
)""",
    """CREATE TABLE pair (
    place INTEGER NOT NULL,
    video_s REAL NOT NULL,
    trace_s REAL NOT NULL,
    PRIMARY KEY (place)
)""",
    """CREATE TABLE note (
    id TEXT NOT NULL,
    place INTEGER NOT NULL,
    video_s REAL NOT NULL,
    end_s REAL,
    phase TEXT NOT NULL,
    body_part TEXT NOT NULL,
    stroke INTEGER,
    text TEXT NOT NULL,
    PRIMARY KEY (id)
)""",
    """CREATE TABLE voice (
    note_id TEXT NOT NULL,
    sound_id TEXT NOT NULL,
    length_s REAL NOT NULL,
    sample_hz INTEGER NOT NULL,
    trim_start_s REAL NOT NULL,
    trim_end_s REAL NOT NULL,
    PRIMARY KEY (note_id)
)""",
    """CREATE TABLE target (
    id INTEGER NOT NULL CHECK (id = 1),
    name TEXT NOT NULL,
    axis TEXT NOT NULL,
    start_pct REAL NOT NULL,
    build_up_end_pct REAL NOT NULL,
    plateau_end_pct REAL NOT NULL,
    decline_end_pct REAL NOT NULL,
    level_n REAL NOT NULL,
    hold_equal INTEGER NOT NULL CHECK (hold_equal IN (0, 1)),
    PRIMARY KEY (id)
)""",
    """CREATE TABLE target_point (
    place INTEGER NOT NULL,
    percent REAL NOT NULL,
    fraction REAL NOT NULL,
    PRIMARY KEY (place)
)""",
    """CREATE TABLE turn (
    id INTEGER NOT NULL CHECK (id = 1),
    quarter_turns INTEGER NOT NULL,
    mirrored INTEGER NOT NULL CHECK (mirrored IN (0, 1)),
    lift REAL NOT NULL,
    PRIMARY KEY (id)
)""",
    """CREATE TABLE decision (
    code TEXT NOT NULL,
    place INTEGER NOT NULL,
    kept INTEGER NOT NULL CHECK (kept IN (0, 1)),
    note_id TEXT NOT NULL,
    PRIMARY KEY (code)
)""",
    """CREATE TABLE threshold (
    name TEXT NOT NULL,
    place INTEGER NOT NULL,
    value REAL NOT NULL,
    PRIMARY KEY (name)
)""",
    """CREATE TABLE flywheel (
    id INTEGER NOT NULL CHECK (id = 1),
    inertia_kgm2 REAL NOT NULL,
    drag_nms2 REAL NOT NULL,
    sprocket_m REAL NOT NULL,
    inertia_sd REAL NOT NULL,
    drag_sd REAL NOT NULL,
    PRIMARY KEY (id)
)""",
    """CREATE TABLE shown_signal (
    name TEXT NOT NULL,
    place INTEGER NOT NULL,
    PRIMARY KEY (name)
)""",
    """CREATE TABLE mark (
    id TEXT NOT NULL,
    place INTEGER NOT NULL,
    kind TEXT NOT NULL,
    colour TEXT NOT NULL,
    text TEXT NOT NULL,
    video_s REAL NOT NULL,
    end_s REAL,
    PRIMARY KEY (id)
)""",
    """CREATE TABLE mark_point (
    mark_id TEXT NOT NULL,
    place INTEGER NOT NULL,
    x_px REAL NOT NULL,
    y_px REAL NOT NULL,
    PRIMARY KEY (mark_id, place)
)""",
    """CREATE TABLE scale (
    id INTEGER NOT NULL CHECK (id = 1),
    metres_per_px REAL NOT NULL,
    PRIMARY KEY (id)
)""",
    """CREATE TABLE curve_mark (
    id TEXT NOT NULL,
    place INTEGER NOT NULL,
    kind TEXT NOT NULL,
    axis TEXT NOT NULL,
    colour TEXT NOT NULL,
    stroke INTEGER,
    text TEXT NOT NULL,
    PRIMARY KEY (id)
)""",
    """CREATE TABLE curve_mark_point (
    mark_id TEXT NOT NULL,
    place INTEGER NOT NULL,
    percent REAL NOT NULL,
    force_n REAL NOT NULL,
    PRIMARY KEY (mark_id, place)
)""",
    """CREATE TABLE sending (
    id INTEGER NOT NULL CHECK (id = 1),
    opening TEXT NOT NULL,
    next_session TEXT NOT NULL,
    language TEXT NOT NULL,
    quality TEXT NOT NULL,
    coach TEXT NOT NULL,
    logo_id TEXT NOT NULL,
    include_originals INTEGER NOT NULL CHECK (include_originals IN (0, 1)),
    consent INTEGER CHECK (consent IN (0, 1)),
    minor INTEGER NOT NULL CHECK (minor IN (0, 1)),
    PRIMARY KEY (id)
)""",
    """CREATE TABLE sending_note (
    place INTEGER NOT NULL,
    note_id TEXT NOT NULL,
    PRIMARY KEY (place)
)""",
    """CREATE TABLE sending_left_out (
    place INTEGER NOT NULL,
    part_id TEXT NOT NULL,
    PRIMARY KEY (place)
)""",
    """CREATE TABLE blur_region (
    id TEXT NOT NULL,
    place INTEGER NOT NULL,
    start_s REAL,
    end_s REAL,
    path TEXT NOT NULL,
    PRIMARY KEY (id)
)""",
    """CREATE TABLE answers (
    id TEXT NOT NULL,
    place INTEGER NOT NULL,
    received TEXT NOT NULL,
    bundle TEXT NOT NULL,
    comment TEXT NOT NULL,
    PRIMARY KEY (id)
)""",
    """CREATE TABLE answer_tick (
    answers_id TEXT NOT NULL,
    place INTEGER NOT NULL,
    note_id TEXT NOT NULL,
    done INTEGER NOT NULL CHECK (done IN (0, 1)),
    PRIMARY KEY (answers_id, place)
)""",
    """CREATE TABLE answer_test (
    answers_id TEXT NOT NULL,
    place INTEGER NOT NULL,
    item TEXT NOT NULL,
    answer TEXT NOT NULL,
    PRIMARY KEY (answers_id, place)
)""",
    """CREATE TABLE comparison (
    id TEXT NOT NULL,
    place INTEGER NOT NULL,
    title TEXT NOT NULL,
    text TEXT NOT NULL,
    timing TEXT NOT NULL,
    shift_s REAL NOT NULL,
    layout TEXT NOT NULL,
    opacity REAL NOT NULL,
    mirrored INTEGER NOT NULL CHECK (mirrored IN (0, 1)),
    scale REAL NOT NULL,
    shift_x_px REAL NOT NULL,
    shift_y_px REAL NOT NULL,
    other_marks INTEGER NOT NULL CHECK (other_marks IN (0, 1)),
    PRIMARY KEY (id)
)""",
    """CREATE TABLE comparison_stroke (
    comparison_id TEXT NOT NULL,
    side TEXT NOT NULL,
    source TEXT NOT NULL,
    catch_s REAL NOT NULL,
    finish_s REAL NOT NULL,
    next_catch_s REAL NOT NULL,
    label TEXT NOT NULL,
    PRIMARY KEY (comparison_id, side)
)""",
    """CREATE TABLE self_test (
    id INTEGER NOT NULL CHECK (id = 1),
    seed INTEGER NOT NULL,
    question TEXT NOT NULL,
    PRIMARY KEY (id)
)""",
    """CREATE TABLE self_test_item (
    id TEXT NOT NULL,
    place INTEGER NOT NULL,
    source TEXT NOT NULL,
    catch_s REAL NOT NULL,
    finish_s REAL NOT NULL,
    next_catch_s REAL NOT NULL,
    label TEXT NOT NULL,
    is_right INTEGER NOT NULL CHECK (is_right IN (0, 1)),
    why TEXT NOT NULL,
    PRIMARY KEY (id)
)""",
    """CREATE TABLE reference (
    id INTEGER NOT NULL CHECK (id = 1),
    name TEXT NOT NULL,
    view TEXT NOT NULL,
    rate_spm REAL NOT NULL,
    level TEXT NOT NULL,
    notes TEXT NOT NULL,
    catch_s REAL NOT NULL,
    finish_s REAL NOT NULL,
    next_catch_s REAL NOT NULL,
    PRIMARY KEY (id)
)""",
    """CREATE TABLE walkthrough (
    id TEXT NOT NULL,
    place INTEGER NOT NULL,
    title TEXT NOT NULL,
    length_s REAL NOT NULL,
    sound_id TEXT NOT NULL,
    sample_hz INTEGER NOT NULL,
    PRIMARY KEY (id)
)""",
    """CREATE TABLE walkthrough_score (
    walkthrough_id TEXT NOT NULL,
    score_id TEXT NOT NULL,
    events TEXT NOT NULL,
    PRIMARY KEY (walkthrough_id)
)""",
    """CREATE TABLE walkthrough_cut (
    walkthrough_id TEXT NOT NULL,
    place INTEGER NOT NULL,
    from_s REAL NOT NULL,
    to_s REAL NOT NULL,
    PRIMARY KEY (walkthrough_id, place)
)""",
    """CREATE TABLE walkthrough_caption (
    walkthrough_id TEXT NOT NULL,
    place INTEGER NOT NULL,
    id TEXT NOT NULL,
    from_s REAL NOT NULL,
    to_s REAL NOT NULL,
    text TEXT NOT NULL,
    PRIMARY KEY (walkthrough_id, place)
)""",
    """CREATE TABLE walkthrough_left_out (
    walkthrough_id TEXT NOT NULL,
    place INTEGER NOT NULL,
    mark_id TEXT NOT NULL,
    PRIMARY KEY (walkthrough_id, place)
)""",
    """CREATE TABLE asset (
    id TEXT NOT NULL,
    sha256 TEXT NOT NULL,
    size INTEGER NOT NULL,
    data BLOB NOT NULL,
    PRIMARY KEY (id)
)""",
    """CREATE TABLE undo (
    place INTEGER NOT NULL,
    label TEXT NOT NULL,
    changes TEXT NOT NULL,
    PRIMARY KEY (place)
)""",
)
