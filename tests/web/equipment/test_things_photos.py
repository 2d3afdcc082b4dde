"""Photos: read whatever comes, kept small and without a place, shown to the co-op alone."""

import struct
import zlib
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from coop.equipment import pictures
from coop.equipment.actions.photos import MOST_PHOTOS, drop_photo, save_photo, save_photos
from coop.equipment.errors import Refused
from coop.equipment.models import Photo
from coop.equipment.pictures import LONGEST_SIDE, MOST_BYTES, NoPicture, read_picture
from coop.people.errors import NotAllowed
from tests.web import equipment_factories as rows
from tests.web.factories import NOW
from tests.web.reading import main_of, text_of

#: Tags of Exif 2.3: orientation, GPS block, maker; latitude within the GPS block.
ORIENTATION, GPS, MAKER, LATITUDE = 0x0112, 0x8825, 0x010F, 2
TURNED_RIGHT = 6


def picture(size=(60, 40), kind="JPEG", colour="red", **options):
    written = BytesIO()
    Image.new("RGB", size, colour).save(written, kind, **options)
    return written.getvalue()


def sent(data, name="photo.jpg"):
    return SimpleUploadedFile(name, data, content_type="image/jpeg")


def opened(photo):
    return Image.open(BytesIO(bytes(photo.jpeg)))


def png_claiming(width, height):
    """A PNG whose head claims a size that its few bytes do not hold (PNG 1.2, section 11.2.2)."""

    def chunk(name, data):
        body = name + data
        return struct.pack(">I", len(data)) + body + struct.pack(">I", zlib.crc32(body))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    rows_ = zlib.compress(b"\0" * 1000)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows_) + chunk(b"IEND", b"")


@pytest.fixture
def thing(household):
    return rows.make_thing(owner=household)


@pytest.fixture
def address(thing):
    return f"/cottonwood/equipment/things/{thing.pk}/photos/add/"


# ---- What becomes of a picture --------------------------------------------------------------
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_what_phones_send_becomes_a_small_jpeg(kind):
    made = read_picture(BytesIO(picture((3000, 1500), kind)))
    image = Image.open(BytesIO(made.jpeg))
    assert (image.format, image.size) == ("JPEG", (LONGEST_SIDE, LONGEST_SIDE // 2))
    assert (made.width, made.height) == image.size


def test_a_small_picture_is_not_blown_up():
    assert read_picture(BytesIO(picture((60, 40)))).width == 60


def test_where_when_and_by_what_it_was_taken_is_gone():
    exif = Image.Exif()
    exif[MAKER] = "Invented Cameras"
    exif.get_ifd(GPS)[LATITUDE] = (39.0, 21.0, 36.0)
    data = picture(exif=exif, comment=b"Hidden here", dpi=(300, 300))
    assert Image.open(BytesIO(data)).getexif().get_ifd(GPS)
    assert b"Invented Cameras" in data
    made = read_picture(BytesIO(data))
    image = Image.open(BytesIO(made.jpeg))
    assert not image.getexif()
    assert set(image.info) <= {
        "jfif",
        "jfif_version",
        "jfif_unit",
        "jfif_density",
        "progressive",
        "progression",
    }
    for hidden in (b"Exif", b"Invented Cameras", b"Hidden here"):
        assert hidden not in made.jpeg


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_it_is_turned_upright(kind):
    exif = Image.Exif()
    exif[ORIENTATION] = TURNED_RIGHT
    made = read_picture(BytesIO(picture((60, 40), kind, exif=exif)))
    assert (made.width, made.height) == (40, 60)


def test_what_one_can_see_through_stands_on_white():
    written = BytesIO()
    Image.new("RGBA", (4, 4), (0, 0, 0, 0)).save(written, "PNG")
    image = Image.open(BytesIO(read_picture(BytesIO(written.getvalue())).jpeg))
    assert image.getpixel((1, 1)) == (255, 255, 255)


# ---- Hostile files --------------------------------------------------------------------------
HOSTILE = {
    "empty": (b"", "The file is empty"),
    "text": (b"<script>alert(1)</script>", "cannot be read as a photo"),
    "a drawing with script": (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "cannot be read"),
    "cut short": (picture((600, 400))[:300], "cannot be read as a photo"),
    "only a head": (picture()[:12], "cannot be read as a photo"),
    "another kind": (picture(kind="GIF"), "cannot be read as a photo"),
    "HEIC": (b"\0\0\0\x18ftypheic\0\0\0\0", "A HEIC photo cannot be read here."),
    "too many bytes": (picture() + b"\0" * MOST_BYTES, "more than 10 MB"),
    "a bomb": (png_claiming(60_000, 60_000), "more than 50 million pixels"),
    "a smaller bomb": (png_claiming(10_000, 9_000), "more than 50 million pixels"),
    "a bomb of one row": (png_claiming(2_000_000_000, 1), "more than 50 million pixels"),
    "a lie": (png_claiming(5_000, 5_000), "cannot be read as a photo"),
}


@pytest.mark.parametrize("what", HOSTILE)
def test_hostile_files_get_a_sentence(what):
    data, sentence = HOSTILE[what]
    with pytest.raises(NoPicture, match=sentence):
        read_picture(BytesIO(data))


def test_no_more_than_the_limit_is_ever_read():
    class Endless:
        asked = 0

        def read(self, size):
            self.asked += size
            return b"\0" * size

    endless = Endless()
    with pytest.raises(NoPicture):
        read_picture(endless)
    assert endless.asked == MOST_BYTES + 1


@pytest.mark.filterwarnings("ignore::UserWarning:PIL")
@settings(max_examples=150)
@given(
    kind=st.sampled_from(["JPEG", "PNG", "WEBP"]),
    changes=st.lists(st.tuples(st.integers(0, 2000), st.integers(0, 255)), max_size=12),
    length=st.integers(0, 3000),
)
def test_bytes_changed_anywhere_are_read_or_refused(kind, changes, length):
    exif = Image.Exif()
    exif[ORIENTATION] = TURNED_RIGHT
    data = bytearray(picture((64, 48), kind, exif=exif))
    for place, value in changes:
        data[place % len(data)] = value
    try:
        made = read_picture(BytesIO(bytes(data[: max(length, 20)])))
    except NoPicture:
        return
    assert made.jpeg.startswith(b"\xff\xd8")
    assert max(made.width, made.height) <= LONGEST_SIDE


# ---- The page -------------------------------------------------------------------------------
def test_several_photos_are_added_at_once_and_shown(as_member, member, thing, address):
    files = [sent(picture(colour=colour)) for colour in ("red", "green")]
    answer = as_member.post(address, {"photo": files}, follow=True)
    assert "2 photos of" in text_of(answer)
    assert Photo.objects.filter(thing=thing, by=member, handover=None).count() == 2
    shown = main_of(answer).select(".photos img")
    assert len(shown) == 2
    assert all("added Tue 11 Aug by Ines Castell" in image["alt"] for image in shown)
    assert as_member.get(shown[0]["src"]).headers["Content-Type"] == "image/jpeg"


@pytest.mark.sqlite  # about the page alone
def test_one_bad_photo_among_several_is_named_and_none_is_kept(as_member, address):
    files = [sent(picture()), sent(b"no picture", "notes.txt")]
    answer = as_member.post(address, {"photo": files})
    assert answer.status_code == 422
    assert "notes.txt: That cannot be read as a photo." in text_of(answer)
    assert not Photo.objects.exists()


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("typed", [{}, {"photo": "no file"}])
def test_nothing_chosen_is_told(as_member, address, typed):
    answer = as_member.post(address, typed)
    assert answer.status_code == 422
    assert "Choose a photo first." in text_of(answer)


@pytest.mark.sqlite  # about the page alone
def test_the_form_asks_phones_for_jpeg(as_member, address):
    field = main_of(as_member.get(address)).select_one("input[type=file]")
    assert field["accept"] == "image/jpeg,image/png,image/webp"
    assert field.has_attr("multiple")


def test_a_thing_has_only_so_many(thing):
    by = thing.by
    made = read_picture(BytesIO(picture()))
    for _ in range(MOST_PHOTOS):
        save_photo(made, thing, by=by)
    with pytest.raises(Refused, match="Take one off first"):
        save_photo(made, thing, by=by)
    with pytest.raises(Refused):
        save_photos([BytesIO(picture())] * (MOST_PHOTOS + 1), thing, by=by)
    assert Photo.objects.count() == MOST_PHOTOS


# ---- Who sees, who may ----------------------------------------------------------------------
def test_a_photo_is_for_members_of_the_co_op_alone(
    as_member, as_other_household_member, as_outsider, as_stranger, signed_out, thing
):
    photo = save_photo(BytesIO(picture()), thing, by=thing.by)
    address = f"/cottonwood/equipment/photos/{photo.pk}/"
    assert as_member.get(address).content == bytes(photo.jpeg)
    assert as_other_household_member.get(address).status_code == 200
    assert as_outsider.get(address).status_code == 404
    assert as_outsider.get(f"/sagebrush/equipment/photos/{photo.pk}/").status_code == 404
    assert as_stranger.get(address).status_code == 404
    assert "/account/login/" in signed_out.get(address)["Location"]
    assert as_member.get("/cottonwood/equipment/photos/999999/").status_code == 404


@pytest.mark.sqlite  # about the page alone
def test_no_shared_cache_keeps_it_and_no_browser_guesses_what_it_is(as_member, thing):
    photo = save_photo(BytesIO(picture()), thing, by=thing.by)
    headers = as_member.get(f"/cottonwood/equipment/photos/{photo.pk}/").headers
    assert headers["Cache-Control"].startswith("private, ")
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Content-Type"] == "image/jpeg"
    assert headers["Cross-Origin-Resource-Policy"] == "same-origin"
    assert "default-src 'none'" in headers["Content-Security-Policy"]


@pytest.mark.sqlite  # about the page alone
def test_only_keepers_add_and_take_off(
    as_member, as_other_household_member, other_household_member, thing, address
):
    answer = as_other_household_member.post(address, {"photo": sent(picture())})
    assert answer.status_code == 403
    with pytest.raises(NotAllowed):
        save_photo(BytesIO(picture()), thing, by=other_household_member)
    photo = save_photo(BytesIO(picture()), thing, by=thing.by)
    drop = f"/cottonwood/equipment/photos/{photo.pk}/drop/"
    assert as_other_household_member.post(drop).status_code == 403
    assert as_member.get(drop).status_code == 405
    assert Photo.objects.exists()
    assert as_member.post(drop).status_code == 302
    assert not Photo.objects.exists()


def test_a_photo_of_a_handover_is_kept_for_who_disputes_it(thing, other_household):
    out = rows.make_out(rows.make_booking(thing, other_household, start=NOW))
    by = other_household.members.get()
    photo = save_photo(BytesIO(picture()), thing, by=by, handover=out)
    assert photo.handover == out
    with pytest.raises(Refused):
        drop_photo(photo, by=thing.by)
    with pytest.raises(ValueError, match="not of thing"):
        save_photo(BytesIO(picture()), rows.make_thing(thing.coop), by=by, handover=out)


def test_the_page_of_a_thing_loads_no_bytes_of_photos(as_member, thing):
    save_photo(BytesIO(picture()), thing, by=thing.by)
    with CaptureQueriesContext(connection) as seen:
        as_member.get(f"/cottonwood/equipment/things/{thing.pk}/")
    asked = [query["sql"] for query in seen if "equipment_photo" in query["sql"]]
    assert asked
    assert not any('"jpeg"' in sql for sql in asked)


def test_only_known_readers_are_tried():
    assert set(pictures.FORMATS) == {"JPEG", "PNG", "WEBP"}
