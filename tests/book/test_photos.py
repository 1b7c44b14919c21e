"""A photo in the book: the picture dot for dot, and nothing that tells where it was."""

import contextlib
import struct
import zlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bookkit import JPEG
from splinewise.book.photos import photo
from splinewise.errors import BookError

# Invented: a place in the sea.
LATITUDE = struct.pack(">6I", 0, 1, 12, 1, 3456, 100)


def part(mark, body):
    return struct.pack(">BBH", 0xFF, mark, len(body) + 2) + body


def exif(order=">", orientation=6, taken="2024:05:18 14:30:00", position=True):
    """Return an Exif part as a camera writes it: a table, two more, and their data."""
    tags = [(0x0112, 3, 1, struct.pack(f"{order}HH", orientation, 0))]
    inner = 8 + 2 + 12 * (2 + position) + 4
    gps = inner + 2 + 12 + 4
    data = gps + (2 + 12 + 4 if position else 0)
    tags.append((0x8769, 4, 1, struct.pack(f"{order}I", inner)))
    if position:
        tags.append((0x8825, 4, 1, struct.pack(f"{order}I", gps)))
    whole = {">": b"MM\0*", "<": b"II*\0"}[order] + struct.pack(f"{order}I", 8)
    whole += table(order, tags)
    whole += table(order, [(0x9003, 2, 20, struct.pack(f"{order}I", data))])
    if position:
        place = struct.pack(f"{order}I", data + 20)
        whole += table(order, [(0x0002, 5, 3, place)])
    whole += taken.encode().ljust(20, b"\0") + LATITUDE
    return part(0xE1, b"Exif\0\0" + whole)


def table(order, tags):
    rows = b"".join(struct.pack(f"{order}HHI4s", *tag) for tag in tags)
    return struct.pack(f"{order}H", len(tags)) + rows + bytes(4)


def with_parts(*parts, after=b""):
    """Return a JPEG with more parts after its first two bytes."""
    return JPEG[:2] + b"".join(parts) + JPEG[2:] + after


XMP = part(0xE1, b"http://ns.adobe.com/xap/1.0/\0<exif:GPSLatitude>12,3.4N</...>")
IPTC = part(0xED, b"Photoshop 3.0\x008BIM\x04\x04 Somewhere-on-Sea")
MORE = part(0xE2, b"MPF\0MM\0*a second picture")
MAKER = part(0xEB, b"JP a maker's own Somewhere-on-Sea")
COMMENT = part(0xFE, b"Somewhere-on-Sea")
COLOURS = part(0xE2, b"ICC_PROFILE\0\x01\x01colours")
ADOBE = part(0xEE, b"Adobe\0\x64\0\0\0\0\x01")


@pytest.mark.parametrize("order", ["<", ">"])
def test_position_goes_and_which_way_is_up_stays(order):
    kept = photo("left.jpg", with_parts(exif(order)))
    upright = part(
        0xE1, b"Exif\0\0MM\0*" + struct.pack(">IHHHIHHI", 8, 1, 0x112, 3, 1, 6, 0, 0)
    )

    assert kept.content == JPEG[:2] + upright + JPEG[2:]
    assert kept.taken_out == ("position and camera data",)
    assert kept.taken == "2024-05-18 14:30:00"
    assert LATITUDE not in kept.content


@pytest.mark.parametrize("orientation", [0, 1, 9, 65535])
def test_a_picture_that_lies_as_it_is_needs_no_word_for_it(orientation):
    kept = photo("left.jpg", with_parts(exif(orientation=orientation, position=False)))

    assert kept.content == JPEG
    assert kept.taken_out == ("camera data",)


def test_only_what_draws_the_picture_is_let_through():
    """Colours stay; whatever else a program or a maker wrote goes, known or not."""
    second = JPEG[:2] + exif() + JPEG[2:]
    content = with_parts(XMP, IPTC, MORE, COLOURS, MAKER, ADOBE, COMMENT, after=second)
    kept = photo("left.jpg", content)

    assert kept.content == with_parts(COLOURS, ADOBE)
    assert kept.taken_out == ("camera data", "comment", "what stood after the picture")
    assert photo("left.jpg", kept.content).content == kept.content


def test_a_picture_in_several_scans_with_padding_keeps_each():
    """Progressive: tables between scans, restarts and filled bytes within."""
    scan = part(0xDA, b"\x01\x01\0\0\x3f\0") + b"\x01\xff\x00\xff\xd3\x02"
    tables = part(0xC4, b"\0" + bytes(17))
    content = JPEG[:-2] + tables + scan + b"\xff\xff" + scan[1:] + b"\xff\xd9"
    kept = photo("left.jpg", content + b"\0\0")

    assert kept.content == JPEG[:-2] + tables + scan + scan + b"\xff\xd9"
    assert kept.taken_out == ()


@pytest.mark.parametrize(
    "taken", ["0000:00:00 00:00:00", "2024:13:01 00:00:00", "yesterday", ""]
)
def test_a_clock_that_was_never_set_is_not_believed(taken):
    assert photo("left.jpg", with_parts(exif(taken=taken))).taken == ""


def test_exif_that_leads_nowhere_goes_too():
    """Whatever stands in it: nothing is followed out of its bounds."""
    whole = exif()
    for end in range(10, len(whole) - 4):
        body = whole[4:end]
        kept = photo("left.jpg", with_parts(part(0xE1, body)))
        assert LATITUDE[:8] not in kept.content
        assert len(kept.taken_out) == 1


@given(st.binary(max_size=200))
def test_no_exif_at_all_gets_through(body):
    kept = photo("left.jpg", with_parts(part(0xE1, b"Exif\0\0" + body)))

    assert len(kept.content) in (len(JPEG), len(JPEG) + 36)


@given(st.integers(2, len(JPEG) - 1), st.binary(max_size=4))
def test_a_jpeg_that_is_cut_or_wrong_is_refused_or_followed(at, more):
    """Never a traceback; never a byte that was not there."""
    for content in (JPEG[:at] + more, JPEG[:at] + more + JPEG[at:]):
        with contextlib.suppress(BookError):
            kept = photo("left.jpg", content)
            assert kept.content.endswith(b"\xff\xd9")
            assert len(kept.content) <= len(content)


def chunk(name, body):
    content = name + body
    return (
        struct.pack(">I", len(body)) + content + struct.pack(">I", zlib.crc32(content))
    )


PNG = (
    b"\x89PNG\r\n\x1a\n"
    + chunk(b"IHDR", struct.pack(">IIBBBBB", 2, 1, 8, 0, 0, 0, 0))
    + chunk(b"gAMA", struct.pack(">I", 45455))
    + chunk(b"IDAT", zlib.compress(b"\0\x10\x20"))
    + chunk(b"IEND", b"")
)


def test_a_png_keeps_its_picture_and_nothing_else():
    more = chunk(b"eXIf", b"MM\0*") + chunk(b"iTXt", b"Somewhere-on-Sea")
    more += chunk(b"tIME", bytes(7)) + chunk(b"maKr", b"Somewhere-on-Sea")
    kept = photo("left.png", PNG[:33] + more + PNG[33:] + b"Somewhere-on-Sea")

    assert (kept.content, kept.form) == (PNG, "png")
    assert kept.taken_out == (
        "position and camera data",
        "comment",
        "what stood after the picture",
    )


@pytest.mark.parametrize("end", [9, 20, 40, len(PNG) - 1])
def test_a_png_that_is_cut_is_refused(end):
    with pytest.raises(BookError, match="cut short or is not PNG"):
        photo("left.png", PNG[:end])


def test_a_png_with_a_wrong_sum_is_refused():
    damaged = bytearray(PNG)
    damaged[45] ^= 1
    with pytest.raises(BookError, match="is damaged"):
        photo("left.png", bytes(damaged))


@pytest.mark.parametrize("content", [b"", b"RIFF\0\0\0\0WEBP", b"ftypheic"])
def test_what_is_neither_is_refused_unless_it_is_to_stay_as_it_is(content):
    with pytest.raises(BookError, match="neither JPEG nor PNG"):
        photo("left.heic", content)
    kept = photo("left.heic", content, as_it_is=True)

    assert (kept.content, kept.form, kept.taken_out) == (content, "other", ())
    whole = with_parts(exif())
    assert photo("left.jpg", whole, as_it_is=True).content == whole
