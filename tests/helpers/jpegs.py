"""What a JPEG file is made of, read by ITU-T T.81 (annex B) alone."""

from __future__ import annotations


def jpeg_segments(data: bytes) -> list[tuple[int, bytes]]:
    """Code and content of each marker segment up to the picture's own data, in order."""
    assert data.startswith(b"\xff\xd8")
    assert data.endswith(b"\xff\xd9")
    found, at = [], 2
    while True:
        assert data[at] == 0xFF
        code, length = data[at + 1], int.from_bytes(data[at + 2 : at + 4])
        found.append((code, data[at + 4 : at + 2 + length]))
        at += 2 + length
        if code == 0xDA:
            # Within the data of a scan, a byte FF is followed by 00 or by a restart mark.
            rest = data[at:-2].replace(b"\xff\x00", b"")
            assert b"\xff" not in rest, "something stands behind the picture"
            return found
