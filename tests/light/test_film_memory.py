"""A WebP of many frames holds one at a time, and is the same to the byte."""

import weakref

import numpy as np

from sim.film_files import encoded


def test_streamed_and_held_are_the_same_film():
    chance = np.random.default_rng(1)
    films = list(chance.integers(0, 255, (8, 24, 32, 3), dtype=np.uint8))
    held = encoded(".webp", iter(films), 25)
    assert encoded(".webp", iter(films), 25, count=len(films)) == held
    assert encoded(".webp", iter(films[:1]), 25, count=1) == encoded(".webp", iter(films[:1]), 25)


def test_frames_are_let_go():
    made = []

    def frames():
        for number in range(20):
            frame = np.full((24, 32, 3), 10 * number, np.uint8)
            made.append(weakref.ref(frame))
            yield frame
            del frame
            assert sum(each() is not None for each in made) <= 2

    encoded(".webp", frames(), 25, count=20)
    assert len(made) == 20
