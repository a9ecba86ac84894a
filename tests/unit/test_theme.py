"""The looks: words can be read in every one, on terminals with all colours, 256, 16 and none."""

from __future__ import annotations

import dataclasses

import pytest
from rich.color import Color, ColorSystem
from rich.color_triplet import ColorTriplet

from tui import theme

WORDS = ("ink", "quiet", "accent", "good", "warn", "bad")
GROUNDS = ("paper", "field")
#: What the 16 colours are on a common terminal; the numbers stand for themselves.
SIXTEEN = [
    (0, 0, 0), (205, 0, 0), (0, 205, 0), (205, 205, 0), (0, 0, 238), (205, 0, 205), (0, 205, 205), (229, 229, 229),
    (127, 127, 127), (255, 0, 0), (0, 255, 0), (255, 255, 0), (92, 92, 255), (255, 0, 255), (0, 255, 255),
    (255, 255, 255),
]  # fmt: skip


def contrast(one: ColorTriplet, other: ColorTriplet) -> float:
    """Contrast ratio, WCAG 2.2 (relative luminance, then (lighter + 0.05) / (darker + 0.05))."""

    def luminance(colour: ColorTriplet) -> float:
        parts = [part / 255 for part in colour]
        linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
        return sum(weight * part for weight, part in zip((0.2126, 0.7152, 0.0722), linear, strict=True))

    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


PAIRS = [
    pytest.param(getattr(page, word), getattr(page, ground), id=f"{name}-{word}-on-{ground}")
    for name, page in (("light", theme.LIGHT), ("dark", theme.DARK))
    for word in WORDS
    for ground in GROUNDS
]


@pytest.mark.parametrize(("word", "ground"), PAIRS)
def test_words_stand_out_with_all_colours(word: str, ground: str) -> None:
    assert contrast(Color.parse(word).get_truecolor(), Color.parse(ground).get_truecolor()) >= 4.5


@pytest.mark.parametrize(("word", "ground"), PAIRS)
def test_words_stand_out_with_256_colours(word: str, ground: str) -> None:
    one, other = (Color.parse(colour).downgrade(ColorSystem.EIGHT_BIT).get_truecolor() for colour in (word, ground))
    assert contrast(one, other) >= 4.5


@pytest.mark.parametrize(("word", "ground"), PAIRS)
def test_words_stand_out_with_16_colours(word: str, ground: str) -> None:
    numbers = [Color.parse(colour).downgrade(ColorSystem.STANDARD).number for colour in (word, ground)]
    one, other = (ColorTriplet(*SIXTEEN[number]) for number in numbers if number is not None)
    assert contrast(one, other) >= 3.5


@pytest.mark.parametrize("page", [theme.LIGHT, theme.DARK])
def test_the_margin_can_be_seen(page: theme.Page) -> None:
    assert contrast(Color.parse(page.margin).get_truecolor(), Color.parse(page.paper).get_truecolor()) >= 3


def test_the_plain_look_has_no_colour_of_its_own() -> None:
    assert set(dataclasses.astuple(theme.PLAIN)) == {"ansi_default"}
    assert theme.THEMES["plain"].ansi


@pytest.mark.parametrize(
    ("setting", "environ", "look"),
    [
        ("light", {}, "light"),
        ("dark", {}, "dark"),
        ("plain", {}, "plain"),
        ("light", {"NO_COLOR": "1"}, "plain"),
        ("light", {"NO_COLOR": ""}, "plain"),
        ("something else", {}, "dark"),
    ],
)
def test_the_setting_chooses_and_no_color_goes_first(setting: str, environ: dict[str, str], look: str) -> None:
    assert theme.chosen(setting, environ) == look


def test_every_look_answers_the_same_style_variables() -> None:
    names = [set(theme.variables(page)) for page in (theme.LIGHT, theme.DARK)]
    assert names[0] == names[1] <= set(theme.variables(theme.PLAIN))
