"""What a kit weighs and how thick it is: the expected figures behind the weight check and the class of mail."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from scheduling.lengths import COUNTS, Length
from scheduling.model.materials import BillLine, Form, LinePer, Material

TOLERANCE_PERCENT = 3
_SLENDER = COUNTS["in"] // 4
_LARGE = COUNTS["in"] * 3 // 4


@dataclass(frozen=True, slots=True)
class KitWeight:
    """milligrams of a kit without its mailer, and of the mailer; thickness: in counts, flat parts one on another.

    unknown: parts whose material has no weight. has_boards: something stiff is in it.
    """

    milligrams: int
    mailer: int
    thickness: int
    has_boards: bool
    unknown: tuple[str, ...]

    def within(self, weighed: int) -> bool:
        """Whether a kit of so many milligrams is as expected, within TOLERANCE_PERCENT."""
        return abs(weighed - self.milligrams) * 100 <= self.milligrams * TOLERANCE_PERCENT

    @property
    def mail(self) -> str:
        """The likely class of mail, which the carrier decides (job.md 3)."""
        if self.has_boards or self.thickness > _LARGE:
            return "parcel; boards do not bend. Check with the carrier."
        if self.thickness > _SLENDER:
            return "large envelope, if it bends and is of even thickness. Check with the carrier."
        return "letter or large envelope by its size. Check with the carrier."


def kit_weight(bill: Sequence[BillLine], materials: Mapping[int, Material]) -> KitWeight:
    """The sums of one kit: pieces by their share of a sheet's area or a reel's length, things as they are."""
    total, mailer = Fraction(0), Fraction(0)
    thickness = 0
    boards = False
    for line in bill:
        material = materials[line.material_id]
        weight = _share(line, material) * material.weight_mg * line.quantity
        if line.per is LinePer.MAILED_HEAD:
            mailer += weight
        elif line.per is LinePer.KIT:
            total += weight
            thickness += material.thickness_counts * line.quantity
            boards = boards or material.thickness_counts > 0
    unknown = tuple(line.part for line in bill if not materials[line.material_id].weight_mg)
    return KitWeight(_whole(total), _whole(mailer), thickness, boards, unknown)


def _share(line: BillLine, material: Material) -> Fraction:
    if material.form is Form.EACH:
        return Fraction(1)
    if material.form is Form.REEL:
        return Fraction(line.along.counts, material.along.counts)
    return Fraction(line.along.counts * line.across.counts, material.along.counts * material.across.counts)


def _whole(weight: Fraction) -> int:
    return (2 * weight.numerator + weight.denominator) // (2 * weight.denominator)


def grams(milligrams: int) -> str:
    """Such as "412 g"; under ten grams with one place."""
    if milligrams < 10_000:
        return f"{(milligrams + 50) // 100 / 10:.1f} g"
    return f"{(milligrams + 500) // 1000} g"


def thickness_text(counts: int, unit: str) -> str:
    """The thickness in the studio's unit, to the nearest sixteenth or tenth of a millimetre."""
    length = Length(counts)
    return length.in_mm(1) if unit == "mm" else length.in_inches(16)
