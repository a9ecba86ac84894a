"""What one kit costs: the share of each material that it uses, waste and labour; kit_cash.py has what packs take."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from scheduling.buying.cut_lists import Part, pieces_of, stock_of
from scheduling.cutting.problem import Stock, Trim
from scheduling.cutting.yields import reel_yield, straight_yield
from scheduling.errors import InvalidError
from scheduling.model.materials import BillLine, Form, LinePer, Material
from scheduling.money import Currency


@dataclass(frozen=True, slots=True)
class CostLine:
    """One part. yield_: pieces of a unit (sheet, reel, whole roll), 1 for things; share: exact minor units a kit."""

    part: str
    material: str
    quantity: int
    yield_: int
    share: Fraction
    packaging: bool


@dataclass(frozen=True, slots=True)
class KitCost:
    """Minor units for one kit, each rounded once, half up.

    materials, packaging: by share of what is used; waste: on both; labour: her minutes at her rate, apart from `total`.
    total: materials, packaging and waste as one sum, so it may differ by one from theirs.
    lines: by the bill. unknown: parts of a material without a price.
    """

    lines: tuple[CostLine, ...]
    materials: int
    packaging: int
    waste: int
    total: int
    labour: int
    unknown: tuple[str, ...]


def kit_cost(
    bill: Sequence[BillLine],
    materials: Mapping[int, Material],
    currency: Currency,
    *,
    waste_percent: int = 0,
    minutes: Fraction = Fraction(0),
    hourly_rate: int = 0,
) -> KitCost:
    """The cost of a kit by its bill; what is counted by head, mailed head or class is in no kit.

    minutes: of kit work for one kit; hourly_rate: minor units.
    Raises InvalidError: a piece fits not once on a sheet, roll or reel.
    Source: demo.md, "Cost per kit"; job.md 3: quantity x (price / pack) / yield.
    """
    lines = tuple(_line(line, materials[line.material_id]) for line in bill if line.per is LinePer.KIT)
    shares = {False: Fraction(0), True: Fraction(0)}
    for one in lines:
        shares[one.packaging] += one.share
    whole = sum(shares.values(), Fraction(0))
    waste = whole * waste_percent / 100
    return KitCost(
        lines,
        _rounded(shares[False], currency),
        _rounded(shares[True], currency),
        _rounded(waste, currency),
        _rounded(whole + waste, currency),
        _rounded(minutes * hourly_rate / 60, currency),
        tuple(line.part for line in bill if line.per is LinePer.KIT and not materials[line.material_id].price),
    )


def _line(line: BillLine, material: Material) -> CostLine:
    pieces = unit_yield(line, material)
    share = Fraction(line.quantity * material.price, material.pack * pieces)
    return CostLine(line.part, material.name, line.quantity, pieces, share, material.packaging)


def unit_yield(line: BillLine, material: Material) -> int:
    """Pieces in straight rows of one sheet, one whole roll or one new reel; 1 for things.

    Raises InvalidError: not one piece fits.
    """
    if material.form is Form.EACH:
        return 1
    if material.form is Form.REEL:
        found = reel_yield(line.along.counts, material.along.counts - material.leader.counts)
    else:
        (piece,) = pieces_of([Part.of(line, 1)], material, "in")
        found = straight_yield(piece, _whole(material))
    if not found:
        raise InvalidError(
            f"{line.part}, {line.size}, fits not once on {material.name}.",
            hint="Use a larger size, or make the piece smaller.",
            field="lines",
        )
    return found


def _whole(material: Material) -> Stock:
    """A sheet as it is, or a whole roll as if it were one sheet, its edges and leader off."""
    stock = stock_of(material)
    if material.form is Form.SHEET:
        return stock
    edge = material.trim.counts
    trim = Trim(head_units=material.leader.counts, left_units=edge, right_units=edge)
    return Stock(stock.id, stock.along_units, stock.across_units, stock.grain, stock.one_way, trim)


def _rounded(minor: Fraction, currency: Currency) -> int:
    return currency.to_minor(currency.half_up(minor / 10**currency.places))
