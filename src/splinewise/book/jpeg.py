"""A JPEG file walked from part to part, leaving out all that is not the picture.

The parts and their marks are those of ITU-T T.81 (1992), Annex B; the orientation is
tag 0x0112 of TIFF 6.0 in an Exif part.  Both from memory.
"""

from __future__ import annotations

import re
import struct
from typing import Final

__all__ = ["strip_jpeg"]

_ORIENTATION, _EXIF_TABLE, _GPS_TABLE, _TAKEN = 0x0112, 0x8769, 0x8825, 0x9003
_END, _SCAN, _COMMENT = 0xD9, 0xDA, 0xFE
_ALONE: Final = frozenset({0x01, *range(0xD0, 0xD8)})

# Needed to draw the picture: size of its dots, its colours, how they were coded.
_KEPT: Final = ((0xE0, b"JFIF\0"), (0xE2, b"ICC_PROFILE\0"), (0xEE, b"Adobe"))

# In what was scanned, 0xFF is followed by 0 or by a restart; else it begins a part.
_NEXT_PART: Final = re.compile(rb"\xff+[^\x00\xd0-\xd7\xff]", re.DOTALL)


def strip_jpeg(content: bytes) -> tuple[bytes, list[str], str]:
    """Return a JPEG with nothing in it but the picture and which way is up.

    Parameters
    ----------
    content : bytes
        The file.

    Returns
    -------
    tuple
        The file without the rest, what was taken out, and when the camera says that
        it was taken.

    Raises
    ------
    ValueError
        If it cannot be followed to its end.
    """
    parts, taken_out, taken, at = [content[:2]], [], "", 2
    while True:
        mark, at = _mark(content, at)
        if mark == _END:
            parts.append(b"\xff\xd9")
            if content[at:].strip(b"\0"):
                taken_out.append("what stood after the picture")
            return b"".join(parts), taken_out, taken
        if mark in _ALONE:
            parts.append(bytes((0xFF, mark)))
            continue
        body, at = _body(content, at)
        if mark == 0xE1 and body.startswith(b"Exif\0\0"):
            turned, where, when = _exif(body[6:])
            taken = taken or when
            taken_out.append("position and camera data" if where else "camera data")
            if turned:
                parts.append(_part(0xE1, _upright(turned)))
        elif (0xE0 <= mark <= 0xEF or mark == _COMMENT) and not any(
            mark == kept and body.startswith(start) for kept, start in _KEPT
        ):
            taken_out.append("comment" if mark == _COMMENT else "camera data")
        else:
            parts.append(_part(mark, body))
        if mark == _SCAN:
            found = _NEXT_PART.search(content, at)
            if found is None:
                msg = "it is cut short"
                raise ValueError(msg)
            parts.append(content[at : found.start()])
            at = found.start()


def _mark(content: bytes, at: int) -> tuple[int, int]:
    start = at
    while content[at : at + 1] == b"\xff":
        at += 1
    if at == start or at >= len(content) or content[at] in (0, 0xD8):
        msg = f"at byte {start} it is cut short or is not JPEG"
        raise ValueError(msg)
    return content[at], at + 1


def _body(content: bytes, at: int) -> tuple[bytes, int]:
    length = int.from_bytes(content[at : at + 2], "big")
    if length < 2 or at + length > len(content):
        msg = f"at byte {at} it is cut short or is not JPEG"
        raise ValueError(msg)
    return content[at + 2 : at + length], at + length


def _part(mark: int, body: bytes) -> bytes:
    return struct.pack(">BBH", 0xFF, mark, len(body) + 2) + body


def _upright(turned: int) -> bytes:
    """Return an Exif part that says which way is up, and nothing else."""
    entry = struct.pack(">HHIHH", _ORIENTATION, 3, 1, turned, 0)
    return b"Exif\0\0MM\0*" + struct.pack(">IH", 8, 1) + entry + bytes(4)


def _exif(tiff: bytes) -> tuple[int, bool, str]:
    """Return which way is up (0 if as it lies), whether there is a position, when."""
    order = {b"II": "<", b"MM": ">"}.get(tiff[:2])
    if order is None:
        return 0, False, ""
    try:
        (first,) = struct.unpack_from(f"{order}I", tiff, 4)
        table = _table(tiff, order, first)
        turned = struct.unpack(f"{order}H", table.get(_ORIENTATION, bytes(4))[:2])[0]
        taken = ""
        if _EXIF_TABLE in table:
            (where,) = struct.unpack(f"{order}I", table[_EXIF_TABLE])
            taken = _when(tiff, order, _table(tiff, order, where))
    except struct.error:  # a camera's own sort of Exif; it goes all the same
        return 0, b"GPS" in tiff, ""
    return (turned if 2 <= turned <= 8 else 0), _GPS_TABLE in table, taken


def _table(tiff: bytes, order: str, at: int) -> dict[int, bytes]:
    (count,) = struct.unpack_from(f"{order}H", tiff, at)
    found = {}
    for n in range(count):
        tag, _, _, value = struct.unpack_from(f"{order}HHI4s", tiff, at + 2 + 12 * n)
        found[tag] = value
    return found


def _when(tiff: bytes, order: str, table: dict[int, bytes]) -> str:
    if _TAKEN not in table:
        return ""
    (at,) = struct.unpack(f"{order}I", table[_TAKEN])
    found = re.match(rb"(\d{4}):(\d\d):(\d\d) (\d\d:\d\d:\d\d)", tiff[at : at + 19])
    if found is None:
        return ""
    year, month, day, time = (part.decode("ascii") for part in found.groups())
    return f"{year}-{month}-{day} {time}"
