"""Files as people export them: opened right, asked, or refused with what they are; none misread."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from analysis.force.intake import MappingNeeded, mapping_from_options, preview, read_trace
from analysis.force.piece import analyse
from analysis.force.trace import TraceError
from tests.helpers.exports import (
    CURVES,
    FORCE_N,
    POSITION_M,
    TIME_S,
    Export,
    as_json,
    clock,
    csv,
    fixed,
    hms,
    iso,
    ods,
    packed,
    rows,
    text,
    xlsx,
    zipped,
)

OLD = (Path(__file__).with_name("old_spreadsheet.xls")).read_bytes()
T, F = fixed(TIME_S), fixed(FORCE_N, 2)
RECORDS = [{"time_s": float(t), "force_n": float(f)} for t, f in zip(T, F, strict=True)]
STROKE_ROWS = "\n".join(";".join(fixed(curve, 1)) for curve in CURVES)
NUMBERED_ROWS = "\n".join(f"{k};{row}" for k, row in enumerate(STROKE_ROWS.splitlines(), start=1))
LONGEST = max(map(len, CURVES))
STROKE_COLUMNS = [[*fixed(curve, 1), *[""] * (LONGEST - len(curve))] for curve in CURVES]
MB = 2**20


def opened(name: str, content: bytes, *says: str) -> Export:
    return Export(name, content, "opened", says, (), FORCE_N)


def asked(name: str, content: bytes, says: str, **answer: str) -> Export:
    return Export(name, content, "asked", (says,), tuple(answer.items()), FORCE_N)


def refused(name: str, content: bytes, *says: str) -> Export:
    return Export(name, content, "refused", says)


SUMMARY = text(
    (fixed(2.5 * np.arange(40.0), 1), fixed(600.0 + 9.0 * np.arange(40.0) % 50.0, 0)), "time;force"
)
EXPORTS = [
    # Spreadsheets and archives.
    opened("sheet.xlsx", xlsx({"Data": rows()})),
    opened("named.xlsx", xlsx({"About": [["Athlete", "A"], ["Rate", 24.0]], "Force": rows()}),
           "Of 2 sheets, “Force” was read"),
    opened("notes-above.xlsx", xlsx({"Data": [["Session 4"], [], *rows()]})),
    refused("two.xlsx", xlsx({"Left": rows(), "Right": rows()}), "2 sheets", "“Left”"),
    refused("summary.xlsx", xlsx({"A": [["Strokes", 6.0]], "B": [["x"]]}), "without a sheet"),
    refused("damaged.xlsx", xlsx({"Data": rows()})[:900], "damaged"),
    opened("sheet.ods", ods(rows())),
    opened("old.xls", OLD),
    refused("page.xls", b"<html><table><tr><td>1</td></tr></table></html>", "web page", ".xlsx"),
    refused("letter.doc", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(4000), "could not be opened"),
    refused("letter.docx", zipped({"[Content_Types].xml": "<x/>", "word/document.xml": "<x/>"}),
            "office document"),
    opened("piece.csv.gz", packed(csv())),
    opened("piece.zip", zipped({"export/piece.csv": csv(), "export/readme.md": "hello"})),
    opened("mac.zip", zipped({"piece.csv": csv(), "__MACOSX/._piece.csv": b"\0\1"})),
    opened("sheet.zip", zipped({"piece.xlsx": xlsx({"Data": rows()})})),
    refused("three.zip", zipped({f"{n}.csv": csv() for n in "abc"}), "3 tables", "choose"),
    refused("film.zip", zipped({"film.mp4": b"\0\0\0\x18ftypisom"}), "no table"),
    refused("nested.zip", zipped({"in.csv.gz": packed(zipped({"a.csv": csv()}))}), "archive"),
    refused("cut.csv.gz", packed(csv())[:300], "damaged"),
    refused("piece.7z", b"7z\xbc\xaf\x27\x1c" + bytes(300), "7z archive", "unpack"),
    # JSON, and what needs its own program.
    opened("records.json", as_json(RECORDS)),
    opened("columns.json", as_json({"meta": {"rate": 24}, "samples": {
        "time_s": [r["time_s"] for r in RECORDS], "force_n": [r["force_n"] for r in RECORDS]}})),
    opened("split.json", as_json({"columns": ["time_s", "force_n"],
                                  "data": [list(r.values()) for r in RECORDS]})),
    opened("lines.jsonl", b"\n".join(map(as_json, RECORDS))),
    opened("frame.json", as_json({k: {str(i): r[k] for i, r in enumerate(RECORDS)}
                                  for k in ("time_s", "force_n")})),
    refused("words.json", as_json({"athlete": "A", "rates": [1]}), "without a table"),
    refused("cut.json", as_json(RECORDS)[:500], "damaged JSON"),
    refused("two.json", as_json({"left": RECORDS, "right": RECORDS}), "2 tables", "“left”"),
    refused("piece.parquet", b"PAR1" + bytes(100) + b"PAR1", "Parquet", ".csv"),
    refused("piece.mat", b"MATLAB 5.0 MAT-file, Platform: X" + bytes(200), "MATLAB"),
    refused("row.fit", b"\x0e\x10\x43\x08\x10\x00\x00\x00.FIT" + bytes(99), "FIT", "no curve"),
    refused("trial.c3d", b"\x02\x50" + bytes(range(256)) * 4, "C3D", "export"),
    refused("curve.png", b"\x89PNG\r\n\x1a\n" + bytes(200), "a picture", "table of samples"),
    refused("report.pdf", b"%PDF-1.7" + bytes(200), "PDF", "table of samples"),
    # Clocks.
    opened("day.csv", text((clock(hms), F), "time;force_n")),
    opened("minutes.csv", text((clock(lambda t: hms(t)[3:]), F), "elapsed;force_n")),
    opened("iso.csv", text((clock(iso), F), "timestamp;force_n")),
    opened("micro.csv", text((fixed(1e6 * TIME_S, 0), F), "time_us;force_n")),
    opened("micro.tsv", text((fixed(1e6 * TIME_S, 0), F), "Time [µs]\tForce [N]", "\t")),
    # Units.
    opened("kn.csv", csv("kN", 1e-3, 6)),
    opened("dan.csv", csv("daN", 0.1)),
    opened("kgf.csv", csv("kgf", 1.0 / 9.80665, 5)),
    opened("lbf.csv", csv("lbf", 1.0 / 4.4482216152605, 5)),
    opened("unit-row.csv", text((T, fixed(FORCE_N / 1000.0, 6)), "Time;Force\ns;kN")),
    asked("bare.csv", csv(""), "the unit of force", force_unit="N"),
    asked("volts.csv", csv("V", 1.0 / 245.0, 6), "no unit of force", force_unit="245 N/V"),
    asked("watts.csv", csv("W"), "is in W, which is no unit of force", force_unit="N"),
    # Hands, strokes, seats.
    opened("hands.csv", text((T, fixed(0.45 * FORCE_N), fixed(0.55 * FORCE_N)),
                             "time_s;Left force (N);Right force (N)"), "were added"),
    opened("hände.csv", text((T, fixed(0.5 * FORCE_N), fixed(0.5 * FORCE_N)),
                             "Zeit (s);Kraft links (N);Kraft rechts (N)"), "were added"),
    opened("sum.csv", text((T, fixed(0.45 * FORCE_N), fixed(0.55 * FORCE_N), F),
                           "time_s;left force (N);right force (N);force (N)")),
    asked("foot.csv", text((T, fixed(0.9 * FORCE_N)), "time (s);Foot force (N)"),
          "which column is the handle force", force_column="2"),
    opened("all.csv", text((T, F, fixed(np.asarray(POSITION_M)), fixed(FORCE_N * 1.9)),
                           "time_s,force_n,position_m,power_w", ",")),
    refused("a-value-a-stroke.csv", SUMMARY.replace(b"time;force", b"time_s;force_n"), "summary"),
    refused("nothing.csv", b"hello\nthere\n", "holds no rows of numbers"),
]  # fmt: skip
STROKES = [
    Export("rows.csv", STROKE_ROWS.encode(), "asked"),
    Export("rows-units.csv", b"force (N)\n" + STROKE_ROWS.encode(), "asked"),
    Export("rows-numbered.csv", NUMBERED_ROWS.encode(), "asked"),
    Export("columns.csv", text(STROKE_COLUMNS, ";".join(f"Stroke {k} (N)" for k in range(1, 8))),
           "asked"),
    Export("columns-timed.csv", text([fixed(np.arange(0.0, LONGEST) * 0.02, 2), *STROKE_COLUMNS],
           "time (s);" + ";".join(f"Stroke {k} (N)" for k in range(1, 8))), "opened"),
    Export("strokes.json", as_json([{"n": k, "force_n": list(map(float, fixed(c, 1)))}
                                    for k, c in enumerate(CURVES)]), "asked"),
    Export("one.txt", "\n".join(fixed(CURVES[0], 1)).encode(), "asked"),
]  # fmt: skip


def fate_of(export: Export, folder: Path) -> tuple[str, Any]:
    """What becomes of a file, and the trace read with the answers or the sentence said."""
    path = folder / export.name
    path.write_bytes(export.content)
    try:
        return "opened", read_trace(path)
    except MappingNeeded as error:
        return "asked", str(error)
    except TraceError as error:
        return "refused", str(error)


@pytest.mark.parametrize("export", EXPORTS, ids=lambda export: export.name)
def test_an_export_is_opened_right_asked_or_refused(export: Export, tmp_path: Path) -> None:
    fate, found = fate_of(export, tmp_path)
    assert fate == export.fate, found
    if fate == "opened":
        said = " ".join(found.intake.remarks)
    else:
        said = found
        assert said.startswith((export.name, "“")) and export.name in said and "\n" not in said
    assert all(words in said for words in export.says), said
    if fate == "asked":
        looked = preview(tmp_path / export.name)
        answers: dict[str, Any] = dict(export.answer)
        found = read_trace(tmp_path / export.name, mapping_from_options(looked, **answers))
    if export.force_n is not None:
        scale = 0.9 if export.name == "foot.csv" else 1.0
        assert found.force_n == pytest.approx(scale * export.force_n, abs=0.03)
        assert found.time_s - found.time_s[0] == pytest.approx(TIME_S - TIME_S[0], abs=1e-3)


@pytest.mark.parametrize("export", STROKES, ids=lambda export: export.name)
def test_single_strokes_are_measured_and_nothing_is_said_of_what_lies_between(
    export: Export, tmp_path: Path
) -> None:
    fate, found = fate_of(export, tmp_path)
    assert fate == export.fate, found
    if fate == "asked":
        looked = preview(tmp_path / export.name)
        assert "interval_s" in looked.missing
        unit: dict[str, Any] = {"force_unit": "N"} if "force_unit" in looked.missing else {}
        found = read_trace(
            tmp_path / export.name, mapping_from_options(looked, interval_s=0.02, **unit)
        )
    curves = CURVES[:1] if export.name == "one.txt" else CURVES
    piece = analyse(found)
    assert len(piece.strokes) == len(curves)
    assert not found.timed and any("not known" in said for said in found.intake.remarks)
    for measures, curve in zip(piece.measures, curves, strict=True):
        assert measures.peak_n == pytest.approx(curve.max(), rel=0.01)
        assert measures.impulse_ns == pytest.approx(0.02 * curve.sum(), rel=0.02)
        assert measures.rate_spm is None and measures.recovery_s is None


def test_nothing_is_misread(tmp_path: Path) -> None:
    fates = Counter(fate_of(export, tmp_path)[0] for export in EXPORTS)
    assert fates == Counter(export.fate for export in EXPORTS)
    assert len(EXPORTS) + len(STROKES) >= 60


def test_two_hands_are_not_added_where_their_sum_stands_beside_them(tmp_path: Path) -> None:
    export = next(e for e in EXPORTS if e.name == "sum.csv")
    assert not any("added" in said for said in fate_of(export, tmp_path)[1].intake.remarks)


def test_a_force_too_light_for_a_rower_is_doubted(tmp_path: Path) -> None:
    (tmp_path / "v.csv").write_bytes(csv("V", 1.0 / 245.0, 6))
    looked = preview(tmp_path / "v.csv")
    trace = read_trace(tmp_path / "v.csv", mapping_from_options(looked, force_unit="N"))
    assert trace.intake is not None and "where a rower pulls hundreds" in trace.intake.remarks[-1]
    piece = read_trace(tmp_path / "v.csv", mapping_from_options(looked, force_unit="245 N/V"))
    assert piece.intake is not None and not piece.intake.remarks


HANDS = {"left": 0.45, "right": 0.55}


def hands(folder: Path, left: str, right: str, of_one: tuple[float, float] = (1.0, 1.0)) -> Path:
    """Both hands' halves of the force, each in a unit of its own."""
    rows = (T, *(fixed(s * FORCE_N / n, 6) for s, n in zip(HANDS.values(), of_one, strict=True)))
    path = folder / "hands.csv"
    path.write_bytes(text(rows, f"time_s;{left};{right}"))
    return path


@pytest.mark.parametrize(
    ("left", "right", "of_one"),
    [
        ("force left [N]", "force right [kgf]", (1.0, 9.80665)),
        ("force left [245 N/V]", "force right [190.5 N/V]", (245.0, 190.5)),
        ("left (120 N/V)", "right (240 N/V)", (120.0, 240.0)),
    ],
)
def test_each_hand_goes_by_the_unit_in_its_own_heading(
    left: str, right: str, of_one: tuple[float, float], tmp_path: Path
) -> None:
    path = hands(tmp_path, left, right, of_one)
    assert read_trace(path).force_n == pytest.approx(FORCE_N, abs=0.01)


def test_one_calibration_is_never_used_for_two_load_cells(tmp_path: Path) -> None:
    path = hands(tmp_path, "force left [V]", "force right [V]", (245.0, 190.5))
    looked = preview(path)
    with pytest.raises(TraceError, match="two load cells"):
        read_trace(path)
    with pytest.raises(TraceError, match="two load cells"):
        read_trace(path, mapping_from_options(looked, force_unit="245 N/V"))
    one = mapping_from_options(looked, force_column="force left [V]", force_unit="245 N/V")
    assert read_trace(path, one).force_n == pytest.approx(0.45 * FORCE_N, abs=0.01)


@pytest.mark.parametrize("hand", HANDS)
def test_a_hand_that_is_asked_for_is_taken_alone(hand: str, tmp_path: Path) -> None:
    path = hands(tmp_path, "force left [N]", "force right [N]")
    asked_for = mapping_from_options(preview(path), force_column=f"force {hand} [N]")
    trace = read_trace(path, asked_for)
    assert trace.force_n == pytest.approx(HANDS[hand] * FORCE_N, abs=0.01)
    assert trace.intake is not None and "taken alone, as asked" in trace.intake.remarks[0]
    assert not any("added" in said for said in trace.intake.remarks)
    assert read_trace(path).force_n == pytest.approx(FORCE_N, abs=0.01)


@pytest.mark.parametrize(
    ("unit", "of_one"), [("ms", 1000.0), ("s", 1.0), ("us", 1e6)], ids=["ms", "s", "us"]
)
def test_times_beside_single_strokes_go_by_their_unit(
    unit: str, of_one: float, tmp_path: Path
) -> None:
    times = fixed(np.arange(0.0, LONGEST) * (0.02 * of_one), 3)
    names = ";".join(f"stroke {k}" for k in range(1, len(STROKE_COLUMNS) + 1))
    path = tmp_path / "strokes.csv"
    path.write_bytes(text((times, *STROKE_COLUMNS), f"time [{unit}];{names}"))
    assert preview(path).guess.interval_s == pytest.approx(0.02)
