"""The program's own looks: paper by day, a dark page by night, and a plain one without any colour."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final, Literal

from textual.app import App
from textual.theme import Theme

Choice = Literal["light", "dark", "plain"]
CHOICES: Final[tuple[Choice, ...]] = ("light", "dark", "plain")


@dataclass(frozen=True, slots=True)
class Page:
    """The colours of one look, each with one job; a test holds every pair that carries text to its contrast.

    paper, field: what is written on; the page, and the entry being typed into.
    ink, quiet, accent: words; plain, less important, keys and headings.
    good, warn, bad: words and signs of a state, always with a word beside them.
    margin, rule: drawn lines; the margin left of a list, and lines between parts.
    """

    paper: str
    field: str
    ink: str
    quiet: str
    accent: str
    good: str
    warn: str
    bad: str
    margin: str
    rule: str


LIGHT: Final = Page(
    paper="#f6f1e7", field="#fffdf8", ink="#15212b", quiet="#4f5b63", accent="#07505c",
    good="#14552f", warn="#663919", bad="#8f1220", margin="#962a2a", rule="#b8c4c8",
)  # fmt: skip
DARK: Final = Page(
    paper="#1c2124", field="#111517", ink="#e9e3d6", quiet="#a9ada6", accent="#86cbd0",
    good="#93cf95", warn="#e6bd63", bad="#ff9d90", margin="#d98c78", rule="#4b575c",
)  # fmt: skip
PLAIN: Final = Page(*["ansi_default"] * 10)

#: On 16-colour terminals and in print the three states must differ without colour, so each also has a style.
_STYLES: Final = {"bad-style": "bold", "warn-style": "bold", "good-style": "none"}

#: What the toolkit's own styles ask of a theme that uses the terminal's colours.
_PLAIN_STOCK: Final = dict.fromkeys(
    ("ansi-background", "ansi-foreground", "border", "border-blurred", "block-hover-background"), "ansi_default"
)


def _theme(name: Choice, page: Page) -> Theme:
    plain = page is PLAIN
    return Theme(
        name=f"kitwright-{name}",
        primary=page.accent,
        secondary=page.quiet,
        accent=page.accent,
        warning=page.warn,
        error=page.bad,
        success=page.good,
        foreground=page.ink,
        background=page.paper,
        surface=page.field,
        panel=page.paper,
        boost=page.paper,
        dark=name != "light",
        ansi=plain,
        variables=variables(page),
    )


def variables(page: Page) -> dict[str, str]:
    """The style variables that the .tcss files may use, for `page`."""
    plain = page is PLAIN
    return {
        "paper": page.paper,
        "field": page.field,
        "ink": page.ink,
        "quiet": page.quiet,
        "good": page.good,
        "warn": page.warn,
        "bad": page.bad,
        "margin": page.margin,
        "rule": page.rule,
        **_STYLES,
        **(_PLAIN_STOCK if plain else {}),
        "entry-style": "underline",
        "block-cursor-foreground": page.paper,
        "block-cursor-background": page.accent,
        "block-cursor-text-style": "reverse" if plain else "none",
        "input-cursor-foreground": page.field,
        "input-cursor-background": page.ink,
        "input-cursor-text-style": "reverse" if plain else "none",
        "input-selection-foreground": page.field,
        "input-selection-background": page.accent,
        "screen-selection-foreground": page.paper,
        "screen-selection-background": page.accent,
        "scrollbar": page.quiet,
        "scrollbar-hover": page.accent,
        "scrollbar-active": page.accent,
        "scrollbar-background": page.paper,
        "scrollbar-background-hover": page.paper,
        "scrollbar-background-active": page.paper,
        "scrollbar-corner-color": page.paper,
    }


THEMES: Final = {"light": _theme("light", LIGHT), "dark": _theme("dark", DARK), "plain": _theme("plain", PLAIN)}


def chosen(setting: str, environ: Mapping[str, str]) -> Choice:
    """The look to wear: plain whenever NO_COLOR is there (as Textual reads it), else the setting, else dark."""
    if "NO_COLOR" in environ:
        return "plain"
    for choice in CHOICES:
        if setting == choice:
            return choice
    return "dark"


def ansi_color(environ: Mapping[str, str]) -> bool | None:
    """What the app passes to Textual as `ansi_color`: without it NO_COLOR gives greys instead of no colour."""
    return True if "NO_COLOR" in environ else None


def wear(app: App[Any], choice: Choice) -> None:
    """Put the look on, at the start (from the app's __init__) or later."""
    for theme in THEMES.values():
        if theme.name not in app.available_themes:
            app.register_theme(theme)
    app.theme = THEMES[choice].name
