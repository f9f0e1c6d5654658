"""Photographs: made small, rid of where they were taken, shown where they belong, and named where they are not there."""

import base64
import re
import shutil

import pytest
from PIL import Image

from heritagemove.answers.photographs import photographs_of, unreadable_photographs
from heritagemove.files.photographs import small_picture
from heritagemove.hand_over.page.html import render
from heritagemove.museum.museum import load_museum
from heritagemove.panels.survey_tables import shown_photographs
from heritagemove.units.units import PlannerError
from tests.conftest import DATA

GPS, MADE_BY, ORIENTATION = 0x8825, 0x010F, 0x0112


@pytest.fixture
def taken(tmp_path):
    """A photograph as a camera takes it, held upright, with the place, the maker and a comment in it."""
    picture = Image.effect_noise((1600, 900), 90).convert("RGB")
    exif = picture.getexif()
    exif[MADE_BY], exif[ORIENTATION] = "Secret camera", 6
    exif.get_ifd(GPS)[2] = (41.0, 30.0, 7.0)
    file = tmp_path / "taken.jpg"
    picture.save(file, exif=exif, comment="at the fence behind the foundry", quality=95)
    return file


def test_it_is_small_upright_and_says_nothing_of_where_it_was_taken(taken):
    assert b"Secret camera" in taken.read_bytes() and Image.open(taken).getexif().get_ifd(GPS)
    small = small_picture(taken, 640, 40_000)
    assert (small.width, small.height) == (360, 640) and len(small.jpeg) <= 40_000
    again = taken.with_name("again.jpg")
    again.write_bytes(small.jpeg)
    with Image.open(again) as shown:
        assert not shown.getexif() and not {"exif", "comment", "icc_profile", "xmp"} & set(shown.info)
    assert b"Secret camera" not in small.jpeg and b"foundry" not in small.jpeg


def test_what_is_no_photograph_is_refused_in_words(tmp_path):
    with pytest.raises(PlannerError, match=r"found no file gone\.jpg"):
        small_picture(tmp_path / "gone.jpg")
    for name, content in (("text.jpg", b"hello"), ("cut.png", b"\x89PNG\r\n\x1a\n"), ("other.jpg", b"GIF89a")):
        (tmp_path / name).write_bytes(content)
        with pytest.raises(PlannerError, match="no JPEG or PNG"):
            small_picture(tmp_path / name)
    Image.new("1", (12_000, 11_000)).save(tmp_path / "huge.png")
    with pytest.raises(PlannerError, match="120 million pixels"):
        small_picture(tmp_path / "huge.png")


def test_the_demo_has_a_drawing_of_each_unit_marked_as_one_and_small(museum):
    assert unreadable_photographs(museum) == ()
    for row in museum.vehicles:
        first = photographs_of(museum, row.vehicle)[0]
        assert first.whole and first.name == f"photos/drawn_{row.vehicle}.png"
    files = list((DATA / "tamber_river" / "photos").iterdir())
    assert all(file.name.startswith("drawn_") for file in files) and sum(file.stat().st_size for file in files) < 60_000


def test_a_photograph_that_is_not_there_is_named_with_its_rows(museum, tmp_path):
    folder = tmp_path / "museum"
    shutil.copytree(DATA / "tamber_river", folder)
    shutil.copytree(DATA / "reference", tmp_path / "reference")
    (folder / "photos" / "drawn_caboose.png").unlink()
    (told,) = unreadable_photographs(load_museum(folder))
    row = next(row for row in museum.survey if row.photo == "photos/drawn_caboose.png")
    assert told.startswith(f"survey.csv, row {row.row_number}, photo: found no file drawn_caboose.png")
    shown = shown_photographs(load_museum(folder), "caboose")
    assert "found no file drawn_caboose.png" in shown and shown.count("<img") == 1


def test_the_survey_and_the_page_show_them_with_what_they_show(museum, switcher):
    shown = shown_photographs(museum, "foundry_switcher")
    assert shown.count('src="data:image/jpeg;base64,') == 2 and "The unit: centre plate fit no (3 Nov 2026)" in shown
    assert "No photograph yet of box" not in shown
    page = render(switcher)
    pictures = re.findall(r'src="data:image/jpeg;base64,([^"]*)" alt="([^"]*)"', page)
    assert pictures[0][1].startswith("The unit: ") and len(pictures) == 2
    assert all(len(base64.b64decode(data)) < 30_000 for data, _ in pictures)
