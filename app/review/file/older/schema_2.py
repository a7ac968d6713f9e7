"""The tables that version 2 of a review file added."""

from __future__ import annotations

from typing import Final

# What version 2 added; a table of version 1 stays as it is, so that bringing up is adding.
TABLES_2: Final[tuple[str, ...]] = (
    """CREATE TABLE curve_mark (
        place INTEGER PRIMARY KEY,
        id TEXT NOT NULL UNIQUE,
        kind TEXT NOT NULL CHECK (kind IN ('line', 'span')),
        axis TEXT NOT NULL CHECK (axis IN ('time', 'length')),
        colour TEXT NOT NULL,
        stroke INTEGER,
        text TEXT NOT NULL
    )""",
    """CREATE TABLE curve_mark_point (
        mark_id TEXT NOT NULL,
        place INTEGER NOT NULL,
        percent REAL NOT NULL,
        force_n REAL NOT NULL,
        PRIMARY KEY (mark_id, place)
    )""",
    """CREATE TABLE sending (
        id INTEGER PRIMARY KEY CHECK (id = 1),
        opening TEXT NOT NULL,
        next_session TEXT NOT NULL,
        language TEXT NOT NULL,
        quality TEXT NOT NULL,
        coach TEXT NOT NULL,
        logo_id TEXT NOT NULL,
        include_originals INTEGER NOT NULL CHECK (include_originals IN (0, 1)),
        consent INTEGER CHECK (consent IN (0, 1)),
        minor INTEGER NOT NULL CHECK (minor IN (0, 1))
    )""",
    """CREATE TABLE sending_note (
        place INTEGER PRIMARY KEY,
        note_id TEXT NOT NULL UNIQUE
    )""",
    """CREATE TABLE logo (
        id TEXT PRIMARY KEY NOT NULL,
        png BLOB NOT NULL
    )""",
    """CREATE TABLE blur_region (
        place INTEGER PRIMARY KEY,
        id TEXT NOT NULL UNIQUE,
        start_s REAL,
        end_s REAL
    )""",
    """CREATE TABLE blur_content (
        region_id TEXT PRIMARY KEY NOT NULL,
        fingerprint TEXT NOT NULL
    )""",
    """CREATE TABLE blur_key (
        region_id TEXT NOT NULL,
        place INTEGER NOT NULL,
        video_s REAL NOT NULL,
        x_px REAL NOT NULL,
        y_px REAL NOT NULL,
        w_px REAL NOT NULL,
        h_px REAL NOT NULL,
        by_hand INTEGER NOT NULL CHECK (by_hand IN (0, 1)),
        PRIMARY KEY (region_id, place)
    )""",
    """CREATE TABLE blur_unsure (
        region_id TEXT NOT NULL,
        place INTEGER NOT NULL,
        from_s REAL NOT NULL,
        to_s REAL NOT NULL,
        PRIMARY KEY (region_id, place)
    )""",
    """CREATE TABLE answers (
        place INTEGER PRIMARY KEY,
        id TEXT NOT NULL UNIQUE,
        received TEXT NOT NULL,
        bundle TEXT NOT NULL,
        comment TEXT NOT NULL
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
        place INTEGER PRIMARY KEY,
        id TEXT NOT NULL UNIQUE,
        title TEXT NOT NULL,
        text TEXT NOT NULL,
        timing TEXT NOT NULL CHECK (timing IN ('phase', 'real', 'free')),
        shift_s REAL NOT NULL,
        layout TEXT NOT NULL CHECK (layout IN ('beside', 'above', 'over')),
        opacity REAL NOT NULL CHECK (opacity BETWEEN 0 AND 1),
        mirrored INTEGER NOT NULL CHECK (mirrored IN (0, 1)),
        scale REAL NOT NULL,
        shift_x_px REAL NOT NULL,
        shift_y_px REAL NOT NULL
    )""",
    """CREATE TABLE comparison_stroke (
        comparison_id TEXT NOT NULL,
        side TEXT NOT NULL CHECK (side IN ('left', 'right')),
        source TEXT NOT NULL,
        catch_s REAL NOT NULL,
        finish_s REAL NOT NULL,
        next_catch_s REAL NOT NULL,
        label TEXT NOT NULL,
        PRIMARY KEY (comparison_id, side)
    )""",
    """CREATE TABLE self_test (
        id INTEGER PRIMARY KEY CHECK (id = 1),
        seed INTEGER NOT NULL,
        question TEXT NOT NULL
    )""",
    """CREATE TABLE self_test_item (
        place INTEGER PRIMARY KEY,
        id TEXT NOT NULL UNIQUE,
        source TEXT NOT NULL,
        catch_s REAL NOT NULL,
        finish_s REAL NOT NULL,
        next_catch_s REAL NOT NULL,
        label TEXT NOT NULL,
        is_right INTEGER NOT NULL CHECK (is_right IN (0, 1)),
        why TEXT NOT NULL
    )""",
    """CREATE TABLE reference (
        id INTEGER PRIMARY KEY CHECK (id = 1),
        name TEXT NOT NULL,
        view TEXT NOT NULL CHECK (view IN ('left', 'right')),
        rate_spm REAL NOT NULL,
        level TEXT NOT NULL,
        notes TEXT NOT NULL,
        catch_s REAL NOT NULL,
        finish_s REAL NOT NULL,
        next_catch_s REAL NOT NULL
    )""",
    """CREATE TABLE walkthrough (
        place INTEGER PRIMARY KEY,
        id TEXT NOT NULL UNIQUE,
        title TEXT NOT NULL,
        length_s REAL NOT NULL,
        sound_id TEXT NOT NULL,
        sample_hz INTEGER NOT NULL,
        score_id TEXT NOT NULL
    )""",
    """CREATE TABLE walkthrough_event (
        score_id TEXT NOT NULL,
        place INTEGER NOT NULL,
        at_s REAL NOT NULL,
        kind TEXT NOT NULL,
        detail TEXT NOT NULL,
        PRIMARY KEY (score_id, place)
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
    """CREATE TABLE sending_left_out (
        place INTEGER PRIMARY KEY,
        part_id TEXT NOT NULL UNIQUE
    )""",
    """CREATE TABLE comparison_marks (
        comparison_id TEXT PRIMARY KEY NOT NULL
    )""",
)
