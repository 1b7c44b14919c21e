"""A PNG file walked from chunk to chunk, leaving out all that is not the picture.

The chunks are those of the PNG specification (W3C, third edition), from memory.
"""

from __future__ import annotations

import zlib
from typing import Final

__all__ = ["strip_png"]

_SIGNATURE: Final = 8
# Needed to draw the picture: its dots, its colours, its frames.
_KEPT: Final = frozenset(
    b"IHDR PLTE IDAT IEND tRNS gAMA cHRM sRGB iCCP cICP sBIT bKGD pHYs "
    b"acTL fcTL fdAT".split()
)


def strip_png(content: bytes) -> tuple[bytes, list[str], str]:
    """Return a PNG with nothing in it but the picture.

    Parameters
    ----------
    content : bytes
        The file.

    Returns
    -------
    tuple
        The file without the rest, what was taken out, and an empty text: a PNG seldom
        says when it was taken.

    Raises
    ------
    ValueError
        If it cannot be followed to its end.
    """
    parts, taken_out, at = [content[:_SIGNATURE]], [], _SIGNATURE
    while True:
        length = int.from_bytes(content[at : at + 4], "big")
        chunk = content[at : at + 12 + length]
        if len(chunk) < 12 + length:
            msg = f"at byte {at} it is cut short or is not PNG"
            raise ValueError(msg)
        if zlib.crc32(chunk[4:-4]) != int.from_bytes(chunk[-4:], "big"):
            msg = f"at byte {at} it is damaged"
            raise ValueError(msg)
        name = chunk[4:8]
        if name in _KEPT:
            parts.append(chunk)
        elif name == b"eXIf":
            taken_out.append("position and camera data")
        else:
            taken_out.append("comment")
        at += len(chunk)
        if name == b"IEND":
            if content[at:].strip(b"\0"):
                taken_out.append("what stood after the picture")
            return b"".join(parts), taken_out, ""
