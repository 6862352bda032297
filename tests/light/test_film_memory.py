"""A film of many frames holds one or few at a time, and shows what was given."""

import io
import weakref

import numpy as np
import pytest
from PIL import Image, ImageSequence

from sim.film_files import encoded, write_film
from sim.gif_stream import UNTOUCHED, write_gif


def test_streamed_and_held_are_the_same_film():
    chance = np.random.default_rng(1)
    films = list(chance.integers(0, 255, (8, 24, 32, 3), dtype=np.uint8))
    held = encoded(".webp", iter(films), 25)
    assert encoded(".webp", iter(films), 25, count=len(films)) == held
    assert encoded(".webp", iter(films[:1]), 25, count=1) == encoded(".webp", iter(films[:1]), 25)


@pytest.mark.parametrize("suffix", [".webp", ".gif", ".mp4"])
def test_frames_are_let_go(suffix):
    if suffix == ".mp4":
        pytest.importorskip("av")
    made = []

    def frames():
        for number in range(20):
            frame = np.full((24, 32, 3), 10 * number, np.uint8)
            made.append(weakref.ref(frame))
            yield frame
            del frame
            assert sum(each() is not None for each in made) <= 2

    encoded(suffix, frames(), 25, np.zeros((4, 4, 3), np.uint8), count=20)
    assert len(made) == 20


@pytest.mark.parametrize("suffix", [".gif", ".mp4"])
def test_what_is_done_is_written(suffix):
    """Long before the last frame the file has what came before: nothing is gathered till the end.

    x264 looks some tens of frames ahead.
    """
    if suffix == ".mp4":
        pytest.importorskip("av")
    file, chance = io.BytesIO(), np.random.default_rng(2)
    held = []

    def frames():
        for _ in range(100):
            frame = chance.integers(0, 255, (32, 48, 3), dtype=np.uint8)
            yield frame
            held.append(file.tell())

    write_film(file, suffix, frames(), 20, chance.integers(0, 255, (9, 9, 3), dtype=np.uint8))
    assert held[-1] > len(file.getvalue()) / 3


def numbered(frames, hold=5):
    """Every picture of a GIF of these colour numbers as (H, W), and how long each stands [ms]."""
    file = io.BytesIO()
    palette = bytes(np.repeat(np.arange(UNTOUCHED, dtype=np.uint8), 3))
    write_gif(file, iter(frames), palette, hold)
    read = Image.open(io.BytesIO(file.getvalue()))
    assert read.info["loop"] == 0
    shown = [
        (np.asarray(one.convert("L")), one.info["duration"]) for one in ImageSequence.Iterator(read)
    ]
    return [each for each, _ in shown], [stands for _, stands in shown]


def test_a_gif_shows_each_frame_as_it_was():
    """Read back by Pillow: corners, single places, a whole picture, and one that stands still."""
    chance = np.random.default_rng(3)
    frames = [chance.integers(0, UNTOUCHED, (23, 40), dtype=np.uint8)]
    for rows, columns in (
        (slice(0, 1), slice(0, 1)),
        (slice(22, 23), slice(5, 40)),
        (slice(3, 9),) * 2,
    ):
        frame = frames[-1].copy()
        frame[rows, columns] = (frame[rows, columns].astype(int) + 7) % UNTOUCHED
        frames.append(frame)
    still = [frames[0], *frames[1:], frames[-1], frames[-1], frames[0]]
    shown, stands = numbered(still)
    assert stands == [50, 50, 50, 150, 50]
    for each, frame in zip(shown, [*frames, frames[0]], strict=True):
        np.testing.assert_array_equal(each, frame)


def test_a_gif_that_stands_for_very_long():
    # a frame stands at most 65,535 hundredths (GIF89a section 23, an unsigned 16 bits)
    frame = np.ones((4, 4), np.uint8)
    shown, stands = numbered([frame] * 3, hold=30_000)
    assert sum(stands) == 3 * 300_000
    assert all((each == frame).all() for each in shown)
