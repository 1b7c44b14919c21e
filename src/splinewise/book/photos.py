"""A photo as the book keeps it: the picture, and nothing that tells where it was.

A camera writes its position, its number and its owner beside the picture, in places
that differ from make to make.  So only what is needed to draw the picture is let
through: the rest goes, known or not.  Nothing is decoded or pressed again.
"""

from __future__ import annotations

from dataclasses import dataclass

from splinewise.book.fields import Day
from splinewise.book.jpeg import strip_jpeg
from splinewise.book.png import strip_png
from splinewise.errors import BookError

__all__ = ["PhotoKept", "photo"]


@dataclass(frozen=True, slots=True)
class PhotoKept:
    """A photo as it shall be kept.

    Attributes
    ----------
    name : str
        Name of the file.
    form : str
        "jpeg", "png" or "other".
    content : bytes
        What shall be kept.
    taken_out : tuple of str
        What was taken out of it.
    taken : str
        When the camera says that it was taken; empty if it does not.
    """

    name: str
    form: str
    content: bytes
    taken_out: tuple[str, ...] = ()
    taken: str = ""


def photo(name: str, content: bytes, *, as_it_is: bool = False) -> PhotoKept:
    """Return a photo without what tells where it was taken.

    Parameters
    ----------
    name : str
        Name of the file.
    content : bytes
        The file.
    as_it_is : bool
        Whether to keep the file byte for byte, position and all.

    Returns
    -------
    PhotoKept
        What to keep.

    Raises
    ------
    BookError
        If it is no JPEG or PNG that can be followed to its end.
    """
    jpeg, png = (
        content.startswith(b"\xff\xd8"),
        content.startswith(b"\x89PNG\r\n\x1a\n"),
    )
    form = "jpeg" if jpeg else "png" if png else "other"
    if as_it_is:
        return PhotoKept(name, form, content)
    instead = "Save it as JPEG or PNG, or keep it byte for byte by --as-it-is."
    if form == "other":
        msg = f"{name} is neither JPEG nor PNG, so no position can be taken out. {instead}"
        raise BookError(msg)
    try:
        bare, taken_out, taken = strip_jpeg(content) if jpeg else strip_png(content)
    except ValueError as error:
        msg = f"{name} cannot be followed to its end: {error}. {instead}"
        raise BookError(msg) from error
    if Day().fault(taken):
        taken = ""  # a camera whose clock was never set
    return PhotoKept(name, form, bare, tuple(dict.fromkeys(taken_out)), taken)
