"""The cloth as a picture: read back crossing by crossing."""

from __future__ import annotations

import os
from io import BytesIO
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from PIL import Image, ImageColor

import weavefuncs as wf
from weavefuncs.addin._cloth import GROUND, HALF_WIDTH, REACH, ROUNDING, Cloth, shadow
from weavefuncs.addin.picture import cloth_svg, write_picture
from weavefuncs.shared.colour_words import WORDS

SVG = "{http://www.w3.org/2000/svg}"

# Weave, ends, picks, reversals, warp, weft.
PIECES = [
    ("plain", 5, 4, "", "white", "black"),
    ("2/2 twill", 13, 22, "9,9", "oldlace", "#2f5f73"),
    ("3/1 twill left", 9, 17, "5,3", "2 red, 1 #204080", "white"),
    ("5 satin 2", 11, 10, "", "navy", "4 white, 3 gold"),
    ([[1, 1, 1], [0, 0, 1]], 3, 2, "", "#ffffff", "#000000"),
    ("2/2 twill", 420, 7, "3", "White", "#2F5F73"),
    ("2/2 twill", 1300, 5, "", "white", "white"),
    ("2/2 twill", 3, 1300, "9,5", "teal", "tan"),
    ("plain", 1, 1, "", "white", "black"),
    (
        "2/2 twill",
        31,
        40,
        "9,9",
        "(2 ecru, 1 plum) x 3, 4 slate",
        "(3 oat, (1 rust, 1 steelblue) x 2) x 2, 5 #2f5f73",
    ),
]


def thread_colour(order: str, thread: int) -> tuple[int, int, int]:
    """The colour of a thread: a word for yarn as the list has it, any other as CSS does."""
    name = wf.colour_of(order, thread + 1).lower()
    red, green, blue = ImageColor.getrgb(WORDS.get(name, name))[:3]
    return red, green, blue


def expected(piece: tuple) -> dict[tuple[int, int], tuple[int, int, int]]:
    """The colour on top at each crossing, by end and pick from 0."""
    weave, ends, picks, reversals, warp, weft = piece
    return {
        (end, pick): thread_colour(warp, end)
        if wf.lift(weave, end + 1, pick + 1, reversals or None)
        else thread_colour(weft, pick)
        for end in range(ends)
        for pick in range(picks)
    }


def centres_of_png(path: Path, ends: int, picks: int) -> dict[tuple[int, int], tuple[int, ...]]:
    with Image.open(path) as image:
        image.load()
        width, height = image.size
        assert image.mode == "RGB"
        step = width // ends
        assert (width, height) == (ends * step, picks * step)
        return {
            (end, pick): image.getpixel((end * step + step // 2, height - pick * step - step + step // 2))
            for end in range(ends)
            for pick in range(picks)
        }


def crossings_of_svg(text: str, ends: int, picks: int) -> dict[tuple[int, int], tuple[int, ...]]:
    """Which colour lies on top at each crossing, from the rectangles; each must be covered once."""
    root = ElementTree.fromstring(text)
    _, _, width, height = map(float, root.get("viewBox", "").split())
    step = width / ends
    assert height == step * picks
    gradients = {
        f"url(#{gradient.get('id')})": {stop.get("stop-color") for stop in list(gradient)[1:-1]}
        for gradient in root.iter(f"{SVG}linearGradient")
    }
    found: dict[tuple[int, int], tuple[int, ...]] = {}
    for group in root.findall(f"{SVG}g"):
        for rect in group.findall(f"{SVG}rect"):
            (colour,) = gradients[group.get("fill", "")]
            x, y, wide, high = (float(rect.get(name, "")) for name in ("x", "y", "width", "height"))
            for end in range(int(x // step), int((x + wide) // step) + 1):
                for row in range(int(y // step), int((y + high) // step) + 1):
                    crossing = end, picks - 1 - row
                    assert crossing not in found
                    found[crossing] = ImageColor.getrgb(str(colour))
    return found


@pytest.mark.parametrize("piece", PIECES, ids=lambda piece: f"{piece[0]} {piece[1]}x{piece[2]}")
def test_every_crossing_of_a_png_shows_the_thread_on_top(piece: tuple, tmp_path: Path) -> None:
    write_picture(tmp_path / "cloth.png", *piece)
    assert centres_of_png(tmp_path / "cloth.png", piece[1], piece[2]) == expected(piece)


@pytest.mark.parametrize("piece", PIECES, ids=lambda piece: f"{piece[0]} {piece[1]}x{piece[2]}")
def test_every_crossing_of_an_svg_shows_the_thread_on_top(piece: tuple, tmp_path: Path) -> None:
    write_picture(tmp_path / "cloth.svg", *piece)
    text = (tmp_path / "cloth.svg").read_text(encoding="utf-8")
    assert text == cloth_svg(*piece)
    assert crossings_of_svg(text, piece[1], piece[2]) == expected(piece)


def distances(pixels: np.ndarray, one: tuple[int, ...], other: tuple[int, ...]) -> np.ndarray:
    """How far each pixel lies from the straight line of colours between two colours."""
    start, way = np.array(one, float), np.array(other, float) - one
    share = np.clip((pixels - start) @ way / max(way @ way, 1), 0, 1)
    return np.abs(pixels - start - share[..., None] * way).max(axis=-1)


@pytest.mark.parametrize("piece", [PIECES[1], PIECES[2], PIECES[-1]], ids=lambda piece: piece[0])
def test_every_pixel_is_of_the_thread_that_the_grid_puts_there(piece: tuple, tmp_path: Path) -> None:
    """On a band the thread on top in light and shadow, beside it the one below in shadow, else the ground.

    Only on a line of two pixels along the edges of a band, where they are drawn smooth, may these mix.
    """
    weave, ends, picks, reversals, warp, weft = piece
    write_picture(tmp_path / "cloth.png", *piece)
    with Image.open(tmp_path / "cloth.png") as image:
        pixels = np.asarray(image, float)
    size = pixels.shape[1] // ends
    lifted = np.array(
        [[wf.lift(weave, e + 1, p + 1, reversals or None) for e in range(ends)] for p in range(picks)]
    )
    # From the middle of a crossing to the middle of each of its pixels, as a share of the crossing.
    steps = (np.arange(size) + 0.5) / size - 0.5
    edge = 1 / size
    sure = 0
    for pick in range(picks):
        for end in range(ends):
            top = size * (picks - 1 - pick)
            tile = pixels[top : top + size, end * size : (end + 1) * size]
            up = lifted[pick, end]
            both = thread_colour(warp, end), thread_colour(weft, pick)
            above, below = both if up else both[::-1]
            # Along the thread on top: from the bottom for an end, from the left for a pick.
            along, across = (-steps[:, None], steps[None, :]) if up else (steps[None, :], steps[:, None])
            before, after = (
                (lifted[max(pick - 1, 0), end], lifted[min(pick + 1, picks - 1), end])
                if up
                else (lifted[pick, max(end - 1, 0)], lifted[pick, min(end + 1, ends - 1)])
            )
            outermost = (pick in (0,), pick == picks - 1) if up else (end == 0, end == ends - 1)
            here = np.where(along > 0, after != up or outermost[1], before != up or outermost[0])
            # Where the float ends here its corners are rounded.
            corner = np.hypot(
                np.maximum(np.abs(across) - HALF_WIDTH + ROUNDING, 0),
                np.maximum(np.abs(along) - REACH + ROUNDING, 0),
            )
            on_band = (np.abs(across) < HALF_WIDTH - edge) & (~here | (corner < ROUNDING - edge))
            beside = np.abs(across) > HALF_WIDTH + edge
            on_other = beside & (np.abs(along) < HALF_WIDTH - edge)
            bare = beside & (np.abs(along) > HALF_WIDTH + edge)
            assert (distances(tile, above, shadow(above))[on_band] <= 1).all()
            assert (tile[on_other] == shadow(below)).all()
            assert (tile[bare] == GROUND).all()
            sure += on_band.sum() + on_other.sum() + bare.sum()
    # The rule leaves little of the picture open.
    assert sure > 0.6 * ends * picks * size**2


def test_words_of_yarn_are_what_a_weaver_means_by_them(tmp_path: Path) -> None:
    write_picture(tmp_path / "cloth.png", "plain", 2, 2, "", "1 dark red, 1 moor grey", "1 ecru, 1 steelblue")
    centres = centres_of_png(tmp_path / "cloth.png", 2, 2)
    ecru, grey, red = (ImageColor.getrgb(WORDS[word]) for word in ("ecru", "grey", "red"))
    assert (centres[1, 0], centres[1, 1], centres[0, 1]) == (ecru, grey, ImageColor.getrgb("steelblue"))
    assert all(dark < plain for dark, plain in zip(centres[0, 0], red))


def test_the_cloth_grows_upward_and_turns(tmp_path: Path) -> None:
    # By the catalogue's words: 2/2 twill lifts ends 1 and 2 on pick 1, one end further each row; with 9,9
    # rows 1 to 9 stand at 0 to 8, rows 10 to 18 at 7 down to -1, row 19 at 0 again.
    positions = [*range(9), *range(7, -2, -1), 0]
    write_picture(tmp_path / "cloth.png", "2/2 twill", 10, 19, "9,9", "white", "black")
    centres = centres_of_png(tmp_path / "cloth.png", 10, 19)
    for pick, position in enumerate(positions):
        for end in range(10):
            lifted = (end - position) % 4 < 2
            assert centres[end, pick] == ((255, 255, 255) if lifted else (0, 0, 0))


def test_a_float_is_one_shape() -> None:
    root = ElementTree.fromstring(cloth_svg([[1, 1, 1, 0], [1, 0, 0, 0]], 4, 2))
    groups = [group.findall(f"{SVG}rect") for group in root.findall(f"{SVG}g") if group.get("fill")]
    # Warp: end 1 over two picks, ends 2 and 3 over one each. Weft: pick 1 over end 4, pick 2 over three ends.
    assert [len(rects) for rects in groups] == [3, 2]


@pytest.mark.parametrize("colour", ["white", "black", "#2f5f73"])
def test_cloth_of_one_colour_shows_which_way_each_thread_runs(colour: str, tmp_path: Path) -> None:
    write_picture(tmp_path / "cloth.png", "plain", 4, 4, "", colour, colour)
    with Image.open(tmp_path / "cloth.png") as image:
        greys = image.convert("L")
    step = greys.width // 4
    for end in range(4):
        for pick in range(4):
            x, y = end * step + step // 2, greys.height - pick * step - step + step // 2
            centre = greys.getpixel((x, y))
            aside = abs(greys.getpixel((x - step // 3, y)) - centre)
            along = abs(greys.getpixel((x, y - step // 3)) - centre)
            # A thread is shaded across, not along: across is sideways where the warp is up.
            across, lengthwise = (aside, along) if wf.lift("plain", end + 1, pick + 1) else (along, aside)
            assert across >= 15
            assert lengthwise < across / 2


def test_the_words_of_a_picture(tmp_path: Path) -> None:
    root = ElementTree.fromstring(cloth_svg("2/2 twill", 6, 8, "3", "white", "2 navy, 1 gold"))
    title, description = root.findtext(f"{SVG}title"), root.findtext(f"{SVG}desc")
    assert title == "2/2 twill, turned by 3: 6 ends by 8 picks"
    assert "2 navy, 1 gold" in str(description)
    assert root.get("role") == "img"
    labels = {element.get("id") for element in root}
    assert set(root.get("aria-labelledby", "").split()) <= labels
    write_picture(tmp_path / "cloth.png", "2/2 twill", 6, 8, "3", "white", "2 navy, 1 gold")
    with Image.open(tmp_path / "cloth.png") as image:
        assert image.text["Title"] == title
        assert image.text["Description"] == description


def test_an_svg_stays_small_enough_to_send() -> None:
    assert len(cloth_svg("plain", 60, 80)) < 300_000


@pytest.mark.parametrize("ends", [1, 60, 857, 1200, 1999, 2000])
@pytest.mark.parametrize("picks", [1, 80, 1201, 3999, 4000])
def test_no_picture_has_more_pixels_than_a_printer_takes(ends: int, picks: int) -> None:
    colour = (0, 0, 0)
    thread = Cloth((), (colour,) * ends, (colour,) * picks, "", "").thread
    assert thread >= 2
    assert ends * picks * thread**2 <= 40_000_000


# Files


def test_the_ending_chooses_the_format_whatever_its_case(tmp_path: Path) -> None:
    write_picture(tmp_path / "CLOTH.PNG", "plain", 4, 4)
    with Image.open(tmp_path / "CLOTH.PNG") as image:
        assert image.format == "PNG"
    for name in ("cloth.jpg", "cloth", ".png"):
        with pytest.raises(wf.WeaveError, match=r"path must be a file name that ends in \.png or \.svg"):
            write_picture(tmp_path / name, "plain", 4, 4)
    assert [path.name for path in tmp_path.iterdir()] == ["CLOTH.PNG"]


def test_a_failed_write_leaves_the_old_file_and_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "cloth.svg"
    target.write_text("old", encoding="utf-8")

    def fail(*_: object) -> None:
        raise OSError("disk full")

    monkeypatch.setattr(os, "replace", fail)
    with pytest.raises(OSError, match="disk full"):
        write_picture(target, "plain", 4, 4)
    assert target.read_text(encoding="utf-8") == "old"
    assert list(tmp_path.iterdir()) == [target]


def test_a_picture_has_the_permissions_of_an_ordinary_file(tmp_path: Path) -> None:
    ordinary = tmp_path / "ordinary"
    ordinary.touch()
    write_picture(tmp_path / "cloth.svg", "plain", 4, 4)
    assert (tmp_path / "cloth.svg").stat().st_mode == ordinary.stat().st_mode
    (tmp_path / "cloth.svg").chmod(0o640)
    kept = (tmp_path / "cloth.svg").stat().st_mode
    write_picture(tmp_path / "cloth.svg", "plain", 4, 4)
    assert (tmp_path / "cloth.svg").stat().st_mode == kept


def test_a_link_to_a_picture_stays_a_link(tmp_path: Path) -> None:
    shown, drawn = tmp_path / "shown.svg", tmp_path / "drawn.svg"
    drawn.write_text("old", encoding="utf-8")
    drawn.chmod(0o600)
    shown.symlink_to(drawn)
    write_picture(shown, "plain", 4, 4)
    assert shown.is_symlink()
    assert drawn.read_text(encoding="utf-8").startswith(("<svg", "<?xml"))
    assert drawn.stat().st_mode & 0o777 == 0o600


def test_a_missing_folder_is_told(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        write_picture(tmp_path / "none" / "cloth.png", "plain", 4, 4)


# What is refused


@pytest.mark.parametrize(
    ("colour", "received"),
    [
        ("bleu", "bleu"),
        ("#12345", "#12345"),
        ("#12345g", "#12345g"),
        ("#1234567", "#1234567"),
        ("204080", None),
        ("40 white, 2 bleu", "bleu"),
        ("2 white, 2", None),
        ("", None),
        ("hsl(0,100%,50%)", None),
    ],
)
@pytest.mark.parametrize("argument", ["warp_colours", "weft_colours"])
def test_an_unknown_colour_is_named_with_how_to_write_one(
    argument: str, colour: str, received: str | None
) -> None:
    with pytest.raises(wf.WeaveError, match=f"{argument} must be") as caught:
        cloth_svg("plain", 6, 6, **{argument: colour})
    if received is not None:
        assert "the colour names of web pages such as steelblue, or #rrggbb" in str(caught.value)
        assert caught.value.received == received


def test_names_are_read_whatever_their_case_and_spaces() -> None:
    drawn = cloth_svg("plain", 4, 4, "", "2 lightblue, 2 tan", "rebeccapurple")
    again = cloth_svg("plain", 4, 4, "", "2 Light Blue, 2 TAN", "#663399")  # CSS: rebeccapurple is #663399
    assert drawn.partition("<defs>")[2] == again.partition("<defs>")[2]


@pytest.mark.parametrize(
    ("ends", "picks", "argument"), [(0, 4, "ends"), (2001, 4, "ends"), (4, 0, "picks"), (4, 4001, "picks")]
)
def test_counts_out_of_range(ends: int, picks: int, argument: str) -> None:
    with pytest.raises(wf.WeaveError, match=rf"{argument} must be from 1 to \d+ for a picture"):
        cloth_svg("plain", ends, picks)


def test_what_the_weave_functions_refuse_is_passed_on() -> None:
    with pytest.raises(wf.WeaveError, match="weave"):
        cloth_svg("nonsense", 4, 4)
    with pytest.raises(wf.WeaveError, match="reversals"):
        cloth_svg("2/2 twill", 4, 4, "9,x")


def test_an_svg_of_too_many_floats_is_refused_and_a_png_recommended() -> None:
    with pytest.raises(wf.WeaveError, match="a PNG takes more"):
        cloth_svg("plain", 450, 450)


def test_the_same_cloth_gives_the_same_bytes(tmp_path: Path) -> None:
    written = []
    for name in ("one.png", "two.png"):
        write_picture(tmp_path / name, "2/2 twill", 20, 20)
        written.append((tmp_path / name).read_bytes())
    assert written[0] == written[1]
    with Image.open(BytesIO(written[0])) as image:
        assert image.info["dpi"] == pytest.approx((200, 200), abs=0.1)
