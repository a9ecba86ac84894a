"""A sheet drawn to scale, as lines of text and as SVG, with the cuts numbered in cutting order.

Both are plain text; nothing here knows a screen. Positions are whole numbers: cells, or hundredths of a point.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from scheduling.cutting.problem import Grain
from scheduling.cutting.result import Blank, Cut, Runs, SheetLayout, Use
from scheduling.cutting.sizes import number_text

_BOX = {
    0b0000: " ",
    0b0101: "│",
    0b1010: "─",
    0b0110: "┌",
    0b1100: "┐",
    0b0011: "└",
    0b1001: "┘",
    0b0111: "├",
    0b1101: "┤",
    0b1110: "┬",
    0b1011: "┴",
    0b1111: "┼",
}
_UP, _RIGHT, _DOWN, _LEFT = 0b0001, 0b0010, 0b0100, 0b1000
_CELL_ASPECT = 2  # a terminal cell is about twice as high as wide
_SVG_LONG = 48_000  # the longer side, in hundredths of a point


@dataclass(frozen=True, slots=True)
class Look:
    """What a drawing says beside the lines.

    names: short names of the pieces by id; the id itself where none is given. unit: "in" or "mm".
    """

    names: tuple[tuple[str, str], ...] = ()
    unit: str = "in"

    def name(self, piece_id: str) -> str:
        """The short name of a piece."""
        return dict(self.names).get(piece_id, piece_id)


def draw_text(layout: SheetLayout, grain: Grain, *, width: int, height: int, look: Look | None = None) -> list[str]:
    """The sheet in box lines, at most `width` cells wide and `height` lines high, both sides to one scale.

    Pieces carry their names, kept remainders "keep" and the grain's arrow, waste is dotted. Every cut shows its number
    at its start where there is room; the list of cuts (`cut_lines`) is complete.
    """
    look = look or Look()
    sheet = layout.blanks[0]
    across, along = _cells(sheet, width, height)
    canvas = _Canvas(across, along, sheet)
    leaves = [blank for blank in layout.blanks if blank.use is not Use.CUT]
    for blank in leaves:
        canvas.outline(blank)
    for blank in leaves:
        if blank.use is Use.WASTE:
            canvas.dot(blank)
    for blank in leaves:
        canvas.label(blank, _label(blank, grain, look))
    for cut in layout.cuts:
        canvas.number(layout.blanks[cut.near], cut)
    return canvas.lines()


def cut_parts(layout: SheetLayout, unit: str) -> list[tuple[str, str, str, str, str]]:
    """The cuts in order as words: number, tool, trim or cut, which way it runs, the fence setting.

    Equal settings in a row say "same".
    """
    parts = []
    last: tuple[int, str, str] | None = None
    for cut in layout.cuts:
        now = (cut.setting_units, cut.method.value, cut.runs.value)
        setting = "same setting" if now == last else f"set {number_text(cut.setting_units, unit)} {unit}"
        way = "across the grain" if cut.runs is Runs.ACROSS else "along the grain"
        parts.append((str(cut.number), cut.method.value, "trim" if cut.stage == 0 else "cut", way, setting))
        last = now
    return parts


def cut_lines(layout: SheetLayout, unit: str) -> list[str]:
    """The same, a line each, under each other."""
    return [
        f"{number:>3}  {tool:<7}  {what:<4}  {way:<16}  {setting}"
        for number, tool, what, way, setting in cut_parts(layout, unit)
    ]


def draw_svg(layout: SheetLayout, grain: Grain, *, title: str, look: Look | None = None) -> str:
    """The sheet as one SVG picture to scale, black on white, cuts as numbered lines.

    title: read out by screen readers and shown as the picture's name.
    """
    look = look or Look()
    sheet = layout.blanks[0]
    longest = max(sheet.across_units, sheet.along_units)

    def scaled(units: int) -> str:
        hundredths = (units * _SVG_LONG * 2 + longest) // (2 * longest)
        return f"{hundredths // 100}.{hundredths % 100:02d}"

    parts = [
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="-12 -12 {_more(scaled(sheet.across_units), 24)} '
            f'{_more(scaled(sheet.along_units), 24)}" role="img" font-family="sans-serif">'
        ),
        f"<title>{escape(title)}</title>",
        (
            '<defs><pattern id="waste" width="6" height="6" patternUnits="userSpaceOnUse">'
            '<path d="M0 6L6 0" stroke="#999" stroke-width="0.6"/></pattern></defs>'
        ),
    ]
    fills = {Use.PIECE: "#fff", Use.OFF_CUT: "#eee", Use.WASTE: "url(#waste)"}
    for blank in layout.blanks:
        if blank.use is Use.CUT:
            continue
        parts.append(
            f'<rect x="{scaled(blank.x_units)}" y="{scaled(blank.y_units)}" width="{scaled(blank.across_units)}" '
            f'height="{scaled(blank.along_units)}" fill="{fills[blank.use]}" stroke="none"/>'
        )
        text = _label(blank, grain, look)
        size = min(11, min(blank.across_units * _SVG_LONG // longest // 100, 400) * 2 // max(1, len(text)))
        high = blank.along_units * _SVG_LONG // longest // 100
        if text and size >= 3 and high >= size:
            x = scaled(blank.x_units + blank.across_units // 2)
            y = scaled(blank.y_units + blank.along_units // 2)
            parts.append(
                f'<text x="{x}" y="{y}" font-size="{size}" text-anchor="middle" dominant-baseline="middle">'
                f"{escape(text)}</text>"
            )
    for cut in layout.cuts:
        x1, y1, x2, y2 = _line_of(layout.blanks, cut)
        parts.append(
            f'<line x1="{scaled(x1)}" y1="{scaled(y1)}" x2="{scaled(x2)}" y2="{scaled(y2)}" stroke="#000" '
            f'stroke-width="0.8"/>'
        )
        anchor, shift = ("end", 'dx="-3" dy="2.5"') if cut.runs is Runs.ACROSS else ("middle", 'dy="-3"')
        parts.append(
            f'<text x="{scaled(x1)}" y="{scaled(y1)}" {shift} font-size="7" font-weight="bold" '
            f'text-anchor="{anchor}">{cut.number}</text>'
        )
    parts.append(
        f'<rect x="0" y="0" width="{scaled(sheet.across_units)}" height="{scaled(sheet.along_units)}" '
        f'fill="none" stroke="#000" stroke-width="1.4"/>'
    )
    parts.append("</svg>")
    return "\n".join(parts) + "\n"


def _more(text: str, points: int) -> str:
    whole, part = text.split(".")
    return f"{int(whole) + points}.{part}"


def _line_of(blanks: Sequence[Blank], cut: Cut) -> tuple[int, int, int, int]:
    """Where the cut runs: along the edge of its kept part that is not the blank's own."""
    near, whole = blanks[cut.near], blanks[cut.blank]
    if cut.runs is Runs.ACROSS:
        y = near.y_units if near.y_units > whole.y_units else near.y_units + near.along_units
        return whole.x_units, y, whole.x_units + whole.across_units, y
    x = near.x_units if near.x_units > whole.x_units else near.x_units + near.across_units
    return x, whole.y_units, x, whole.y_units + whole.along_units


def _label(blank: Blank, grain: Grain, look: Look) -> str:
    if blank.use is Use.PIECE:
        return look.name(blank.piece_id) + (" turned" if blank.turned else "") + (" back" if blank.over else "")
    if blank.use is Use.OFF_CUT:
        return "keep" if grain is Grain.NONE else "keep ↕"
    return ""


def _cells(sheet: Blank, width: int, height: int) -> tuple[int, int]:
    """Spaces between grid lines across and along that keep the sheet's shape within the room given."""
    across, along = max(2, width - 1), max(2, height - 1)
    if across * sheet.along_units > along * _CELL_ASPECT * sheet.across_units:
        across = max(2, along * _CELL_ASPECT * sheet.across_units // sheet.along_units)
    else:
        along = max(2, across * sheet.along_units // (_CELL_ASPECT * sheet.across_units))
    return across, along


class _Canvas:
    """Cells with box lines: each holds which of its four neighbours it is joined to, or a letter."""

    def __init__(self, across: int, along: int, sheet: Blank) -> None:
        self._across = across
        self._along = along
        self._sheet = sheet
        self._joins = [[0] * (across + 1) for _ in range(along + 1)]
        self._letters: dict[tuple[int, int], str] = {}

    def _spot(self, x_units: int, y_units: int) -> tuple[int, int]:
        across, along = self._sheet.across_units, self._sheet.along_units
        column = (2 * x_units * self._across + across) // (2 * across)
        line = (2 * y_units * self._along + along) // (2 * along)
        return column, line

    def _corners(self, blank: Blank) -> tuple[int, int, int, int]:
        left, top = self._spot(blank.x_units, blank.y_units)
        right, bottom = self._spot(blank.x_units + blank.across_units, blank.y_units + blank.along_units)
        return left, top, right, bottom

    def outline(self, blank: Blank) -> None:
        """Box lines round a blank."""
        left, top, right, bottom = self._corners(blank)
        for line in {top, bottom}:
            for column in range(left, right):
                self._joins[line][column] |= _RIGHT
                self._joins[line][column + 1] |= _LEFT
        for column in {left, right}:
            for line in range(top, bottom):
                self._joins[line][column] |= _DOWN
                self._joins[line + 1][column] |= _UP

    def dot(self, blank: Blank) -> None:
        """Dots for waste."""
        left, top, right, bottom = self._corners(blank)
        for line in range(top + 1, bottom):
            for column in range(left + 1, right):
                self._letters[line, column] = "·"

    def label(self, blank: Blank, text: str) -> None:
        """A name in the middle, cut to the room there is."""
        left, top, right, bottom = self._corners(blank)
        room = right - left - 1
        if not text or room < 1 or bottom - top < 2:
            return
        text = text if len(text) <= room else text[: max(1, room - 1)] + ("…" if room > 1 else "")
        start = left + 1 + (room - len(text)) // 2
        for place, letter in enumerate(text):
            self._letters[(top + bottom) // 2, start + place] = letter

    def number(self, near: Blank, cut: Cut) -> None:
        """The cut's number on its line, where the line is still free."""
        left, top, right, bottom = self._corners(near)
        text = str(cut.number)
        spots = (
            [(bottom if cut.stage else top, left + 1 + place) for place in range(len(text))]
            if cut.runs is Runs.ACROSS
            else [(top + 1 + place, right if cut.stage else left) for place in range(len(text))]
        )
        fits = (right - left > len(text)) if cut.runs is Runs.ACROSS else (bottom - top > len(text))
        if fits and not any(spot in self._letters for spot in spots):
            self._letters.update(zip(spots, text, strict=True))

    def lines(self) -> list[str]:
        """The rows of text."""
        return [
            "".join(
                self._letters.get((line, column), _BOX.get(joins, _half(joins))) for column, joins in enumerate(row)
            ).rstrip()
            for line, row in enumerate(self._joins)
        ]


def _half(joins: int) -> str:
    """A line that ends in the middle of nowhere, drawn as if it went on."""
    return "│" if joins & (_UP | _DOWN) else "─"
