"""The stage that straightens a photograph, by keys alone and by mouse alone, without a screen."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pygame
import pytest
from PIL import Image

from layouts import load_house
from sim.app import straighten
from sim.app.state import straightening as st
from sim.app.state.straightening import MarkedShape, Pixel
from sim.app.state.straightening_fit import (
    fit_of,
    flags,
)
from sim.app.straighten import PhotoStage, Write

sys.path.insert(0, str(Path(__file__).parent))
from pinhole import CORNERS_M, SIZE, door, point, seen


@pytest.fixture
def photo(tmp_path: Path) -> Path:
    """An invented picture: grey, for what is on it does not count here."""
    path = tmp_path / "wall.png"
    Image.new("RGB", SIZE, (120, 130, 140)).save(path)
    return path


@pytest.fixture
def stage(photo: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[PhotoStage]:
    from sim.cli.new_photo import from_photo

    def write(points: list[str], eaves: list[str], lengths: list[str], away: str | None
              ) -> list[Path]:  # fmt: skip
        return from_photo(tmp_path / "new", photo, points, eaves, lengths, away, "m", None)

    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    yield PhotoStage(photo, "m", write, size_px=(960, 600), scale=1.0)
    pygame.quit()


def press(stage: PhotoStage, key: int, text: str = "", mod: int = 0) -> None:
    pygame.event.post(pygame.event.Event(pygame.KEYDOWN, key=key, mod=mod, unicode=text))
    stage.step()


def typed(stage: PhotoStage, words: str) -> None:
    for letter in words:
        press(stage, pygame.K_SPACE if letter == " " else ord(letter), letter)


def go_to(stage: PhotoStage, at: Pixel) -> None:
    """The cross to a pixel by arrows alone."""
    for axis, (less, more) in enumerate(((pygame.K_LEFT, pygame.K_RIGHT),
                                         (pygame.K_UP, pygame.K_DOWN))):  # fmt: skip
        for size, mod in ((10, pygame.KMOD_LSHIFT), (1, 0)):
            away = at[axis] - stage.state.cursor[axis]
            for _ in range(round(abs(away) / size) if size == 1 else int(abs(away) / size)):
                press(stage, more if away > 0 else less, "", mod)


def test_a_house_by_keys_alone(stage: PhotoStage, tmp_path: Path) -> None:
    for corner in door().pixel:
        go_to(stage, corner)
        press(stage, pygame.K_SPACE, " ")
    typed(stage, "0.9 m x 2 m at 3, 0")
    press(stage, pygame.K_RETURN)
    press(stage, pygame.K_v, "v")
    typed(stage, "12 potatoes")
    press(stage, pygame.K_RETURN)
    assert stage.state.told.startswith("Viewer: ")
    for _ in "2 potatoes":
        press(stage, pygame.K_BACKSPACE)
    typed(stage, "1")
    press(stage, pygame.K_RETURN)
    press(stage, pygame.K_RETURN)
    assert not stage.running
    house = load_house(tmp_path / "new" / "house.yaml")
    assert stage.written is not None
    assert stage.written[0] == tmp_path / "new" / "house.yaml"
    # Whole pixels are half a pixel off at most, near 0.3 cm on the door.
    assert house.drawing.photo is not None
    assert house.drawing.viewer_m == 11.0
    assert [tuple(one.at_m) for one in house.drawing.photo.points] == [
        (3.0, 0.0), (3.9, 0.0), (3.9, 2.0), (3.0, 2.0)]  # fmt: skip


def test_a_house_by_mouse_alone(stage: PhotoStage, tmp_path: Path) -> None:
    for corner in door().pixel:
        x, y = st.on_screen(stage.state, corner)
        for kind in (pygame.MOUSEMOTION, pygame.MOUSEBUTTONDOWN, pygame.MOUSEBUTTONUP):
            pygame.event.post(pygame.event.Event(kind, pos=(x, y), button=1, rel=(0, 0)))
        stage.step()
    typed(stage, "0.9 m x 2 m")
    place = dict(stage.screen.buttons)["accept"]
    at = place.x + 4, place.y + 4
    pygame.event.post(pygame.event.Event(pygame.MOUSEBUTTONDOWN, pos=at, button=1))
    stage.step()
    assert not stage.running
    assert (tmp_path / "new" / "house.yaml").exists()


def test_what_cannot_be_written_is_told_and_nothing_marked_is_lost(
    stage: PhotoStage, tmp_path: Path
) -> None:
    (tmp_path / "new").mkdir()
    (tmp_path / "new" / "house.yaml").write_text("mine")
    stage.state = replace(stage.state, shapes=(door(),))
    press(stage, pygame.K_RETURN)
    assert stage.running
    assert "already there" in stage.state.told
    assert (tmp_path / "new" / "house.yaml").read_text() == "mine"
    assert stage.state.shapes == (door(),)


def test_the_cross_of_the_window_asks_and_then_closes(stage: PhotoStage) -> None:
    stage.state = replace(stage.state, shapes=(door(),))
    pygame.event.post(pygame.event.Event(pygame.QUIT))
    stage.step()
    assert stage.running
    assert stage.state.leaving
    pygame.event.post(pygame.event.Event(pygame.QUIT))
    stage.step()
    assert not stage.running
    assert stage.written is None


@pytest.mark.parametrize("size", [(1280, 720), (640, 400), (320, 200), (200, 120)])
@pytest.mark.parametrize("scale", [1.0, 2.0])
def test_it_is_drawn_at_any_size(stage: PhotoStage, size: tuple[int, int], scale: float) -> None:
    stage.surface = pygame.Surface(size)
    eaves = MarkedShape("eave", tuple(seen(x, 3) for x in (0, 3, 6)))
    for shapes in ((), (door(),), (door(), eaves, *(point(*xy) for xy in CORNERS_M))):
        stage.state = replace(stage.state, size_px=size, scale=scale, shapes=shapes, begun=())
        stage.step()
    stage.state = replace(stage.state, zoom=9.0, middle=seen(3, 0), cursor=seen(3, 0), grid=True)
    stage.step()
    assert pygame.surfarray.array3d(stage.surface).std() > 3


def test_without_marks_the_window_is_asked_where_there_is_one(
    photo: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from layouts import EvenfallError
    from sim.cli.new_photo import from_photo

    folder = tmp_path / "asked"
    wanted = (folder, photo, [], [], [], None, "m", None)
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")  # shows nothing to anybody
    asked: list[bool] = []  # whether the library was, which prints errors of its own
    monkeypatch.setattr("sim.app.display.can_show", lambda: asked.append(True))
    with pytest.raises(EvenfallError, match="nothing says how large the wall is"):
        from_photo(*wanted)
    assert asked == []
    monkeypatch.setattr("sim.cli.preview.has_display", lambda: True)
    with pytest.raises(EvenfallError, match="nothing says how large the wall is"):
        from_photo(*wanted)
    assert asked == [True]

    def marked(_: Path, units: str | None, write: Write, __: str | None) -> list[Path]:
        shapes = (door(),)
        return write(*flags(shapes, units or "m", fit_of(shapes, "m", SIZE)), "9 m")

    monkeypatch.setattr("sim.app.display.can_show", lambda: True)
    monkeypatch.setattr("sim.app.straighten.run_straightening", marked)
    assert from_photo(*wanted)[0] == folder / "house.yaml"
    assert load_house(folder / "house.yaml").drawing.photo is not None
    assert load_house(folder / "house.yaml").drawing.viewer_m == 9.0
    monkeypatch.setattr("sim.app.straighten.run_straightening", lambda *_: None)
    assert from_photo(tmp_path / "left", photo, [], [], [], None, "m", None) == []
    assert not (tmp_path / "left").exists()


def test_a_huge_photograph_is_shown_smaller_and_told_in_its_own_pixels(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is red lies where its pixels are, in sight and under the loupe."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    monkeypatch.setattr(straighten, "SHORTER_PX", 220)
    wall = Image.new("RGB", (1200, 900), (120, 130, 140))
    wall.paste((250, 0, 0), (800, 200, 840, 240))
    wall.save(tmp_path / "wall.png")
    one = PhotoStage(tmp_path / "wall.png", "m", lambda *_: [], size_px=(960, 600), scale=1.0)
    try:
        assert one.screen._photo.get_size() == (300, 225)  # a quarter: 900 // 220 parts
        assert one.state.photo_px == (1200, 900)
        for zoom in (1.0, 3.0):
            at = Pixel(820.0, 220.0)
            one.state = replace(one.state, zoom=zoom, middle=at, cursor=Pixel(700.0, 300.0))
            one.step()
            x, y = st.on_screen(one.state, at)
            assert one.surface.get_at((round(x), round(y)))[:3] == (250, 0, 0)
            far = 40 * st.screen_per_pixel(one.state)  # beyond its edge
            assert one.surface.get_at((round(x + far), round(y)))[0] < 160
    finally:
        pygame.quit()
