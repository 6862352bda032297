"""How the window looks: colours, sizes of type, and the theme handed to pygame_gui.

One accent on a night ground; warm white type; hairlines instead of boxes. Contrast ratios are
those of WCAG 2.2, 1.4.3 against `NIGHT`, and a test computes them.
"""

from __future__ import annotations

from functools import lru_cache
from importlib.resources import files
from typing import Any

Colour = tuple[int, int, int]

NIGHT: Colour = (11, 15, 24)  # behind everything
PANEL: Colour = (16, 21, 32)  # drawer, ribbon, tools
RAISED: Colour = (27, 34, 49)  # under the pointer, lists, cards
LINE: Colour = (44, 53, 72)  # hairlines, and what lies under the pointer
EDGE: Colour = (104, 114, 136)  # outlines and tracks of what can be set: 3 : 1 (WCAG 2.2, 1.4.11)
FAINT: Colour = (140, 143, 152)  # ticks and cautions, still 4.5 : 1
QUIET: Colour = (170, 168, 162)  # labels
WARM: Colour = (243, 235, 221)  # type
AMBER: Colour = (242, 169, 59)  # the one accent: what is on, what one can drag, where one is
OVER: Colour = (255, 107, 87)  # beyond a limit; always with a word or a shape beside it

BANNER: Colour = (44, 20, 24)  # under a warning

#: High contrast: what each colour is shown as. Type is at 7 : 1 (WCAG 2.2, 1.4.6), and what is a
#: hairline otherwise can be seen.
HIGH: dict[Colour, Colour] = {
    NIGHT: (0, 0, 0), PANEL: (0, 0, 0), RAISED: (12, 12, 16), BANNER: (24, 0, 0),
    LINE: (84, 86, 94), EDGE: (214, 216, 222), FAINT: (222, 224, 230), QUIET: (236, 236, 232),
    WARM: (255, 255, 255), AMBER: (255, 205, 80), OVER: (255, 176, 160),
}  # fmt: skip


def shown(colour: Colour, high: bool) -> Colour:
    """A colour of the theme as it is shown; others are data, and stay."""
    return HIGH.get(colour, colour) if high else colour


SMALL = 12
BODY = 13.5
TITLE = 16
LARGE = 22


@lru_cache(maxsize=4)
def font_file(bold: bool = False) -> str:
    """The Noto Sans that ships with pygame_gui (SIL Open Font License); its figures align."""
    name = "NotoSans-Bold.ttf" if bold else "NotoSans-Regular.ttf"
    return str(files("pygame_gui") / "data" / name)


def as_css(colour: Colour, alpha: int = 255) -> str:
    """A colour as pygame_gui's themes write it."""
    return f"#{colour[0]:02x}{colour[1]:02x}{colour[2]:02x}{alpha:02x}"


def theme(scale: float, high: bool = False) -> dict[str, Any]:
    """The theme of every widget at a scale; `high`: in high contrast."""

    def px(size: float) -> str:
        return str(max(1, round(size * scale)))

    def css(colour: Colour, alpha: int = 255) -> str:
        return as_css(shown(colour, high), alpha)

    clear = css(PANEL, 0)
    text = {f"{state}_text": css(WARM) for state in ("normal", "hovered", "selected", "active")}
    ground = {
        "normal_bg": css(RAISED), "hovered_bg": css(LINE), "selected_bg": css(LINE),
        "active_bg": css(LINE), "disabled_bg": css(PANEL), "dark_bg": css(RAISED),
        "disabled_text": css(FAINT), "disabled_dark_bg": css(PANEL),
        "normal_border": css(EDGE), "hovered_border": css(FAINT), "selected_border": css(AMBER),
        "active_border": css(AMBER), "disabled_border": css(LINE),
    }  # fmt: skip
    rounded = {"shape": "rounded_rectangle", "shape_corner_radius": px(6), "border_width": "1",
               "shadow_width": "0"}  # fmt: skip
    bare = {**rounded, "border_width": "0"}
    font = {"name": "noto_sans", "size": px(BODY), "bold": "0", "italic": "0"}
    on = {f"{state}_text": css(NIGHT) for state in ("normal", "hovered", "selected", "active")} | {
        f"{state}_bg": css(AMBER) for state in ("normal", "hovered", "selected", "active")
    }  # fmt: skip
    small = {**font, "size": px(SMALL)}
    states = ("normal", "hovered", "selected", "active", "disabled")
    unseen = {f"{state}_bg": clear for state in states}
    return {
        "defaults": {"colours": ground | text},
        "button": {"misc": rounded, "font": font},
        "@on": {"misc": bare, "colours": on, "font": small},
        "@small": {"misc": bare, "font": small},
        "@clear": {"misc": bare, "colours": unseen},
        "@plain": {
            "font": font,
            "misc": bare,
            "colours": {"normal_bg": clear, "normal_text": css(QUIET)},
        },
        "panel": {"colours": {"dark_bg": clear, "normal_bg": clear, "normal_border": clear},
                  "misc": {"shape": "rectangle", "border_width": "0", "shadow_width": "0"}},
        "drop_down_menu": {"misc": {**rounded, "open_button_width": px(26)}},
        "@up": {"misc": {"expand_direction": "up"}},
        "drop_down_menu.button": {
            "font": font,
            "misc": {**bare, "text_horiz_alignment": "left",
                     "text_horiz_alignment_padding": px(8)},
        },
        "drop_down_menu.#expand_button": {
            "font": {"name": "fira_code_symbols", "size": px(11)},
            "misc": {"text_horiz_alignment": "center", "text_horiz_alignment_padding": "0"},
            "colours": {"normal_text": css(FAINT)},
        },
        "drop_down_menu.selection_list": {
            "misc": {**rounded, "list_item_height": px(28)},
            "colours": {"dark_bg": css(RAISED), "normal_border": css(FAINT)},
        },
        "drop_down_menu.selection_list.button": {
            "font": font,
            "misc": {**bare, "text_horiz_alignment": "left",
                     "text_horiz_alignment_padding": px(8)},
            "colours": {"selected_text": css(AMBER)},
        },
        "vertical_scroll_bar": {"misc": {"enable_arrow_buttons": "0", "shadow_width": "0",
                                         "border_width": "0"}},
    }  # fmt: skip
