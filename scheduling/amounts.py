"""Sums of money and counts as she types them."""

from __future__ import annotations

import re
from decimal import Decimal

from scheduling.errors import InvalidError
from scheduling.folding import typed_text
from scheduling.money import Currency
from scheduling.typed_days import shortened
from scheduling.words import LONGEST, Understood

MOST_COUNT = 1_000_000
_DIGITS = 12
_PLAIN = re.compile(r"\d+", re.ASCII)
_ONE_SIGN = re.compile(r"(\d+)([.,])(\d+)", re.ASCII)
# Thousands parted by one kind of sign all along, then, if at all, the other kind before the last digits.
_PARTED = re.compile(r"(\d{1,3}(?:(?P<part>[ .,'])\d{3})(?:(?P=part)\d{3})*)(?:(?!(?P=part))([.,])(\d+))?", re.ASCII)


def read_money(text: str, currency: Currency, *, field: str = "amount") -> Understood[int]:
    """A sum as typed, in minor units: 1234.5, 1,234.50, 1.234,50, 1 234,50, 45,50, 58.00 USD, usd 58.

    A comma before exactly three digits parts thousands, as in what is shown; a point there could be either and is
    refused where the currency has not three places (with three places it is the other way round).
    Raises InvalidError for what is not understood, has more places than the currency, is in another currency, or
        is negative.
    """
    number = _without_code(text, currency, field)
    if match := _PLAIN.fullmatch(number):
        whole, part = match[0], ""
    elif match := _ONE_SIGN.fullmatch(number):
        whole, part = _one_sign(match[1], match[2], match[3], currency, field)
    elif match := _PARTED.fullmatch(number):
        whole, part = re.sub(r"\D", "", match[1]), match[4] or ""
    else:
        raise InvalidError(
            f"{shortened(text)} is not understood as a sum.",
            hint=f"Write digits such as {currency.show(123450)}, without a sign before them.",
            field=field,
        )
    if len(whole) > _DIGITS:
        raise InvalidError(f"{shortened(text)} is too large a sum.", hint="Check the digits.", field=field)
    exact = Decimal(f"{whole}.{part}" if part else whole)
    if len(part) > currency.places:
        raise InvalidError(
            f"{shortened(text)} has more than {currency.places} places, and {currency.code} has {currency.places}.",
            hint=f"Write {currency.show(currency.half_up(exact))} if that is meant.",
            field=field,
        )
    minor = currency.to_minor(exact)
    return Understood(minor, f"{currency.show(minor)} {currency.code}")


def read_count(text: str, *, least: int = 0, most: int = MOST_COUNT, field: str = "count") -> Understood[int]:
    """A whole number as typed: 12, or 1,200; refused outside `least` to `most`, both counted in."""
    plain = typed_text(text) if len(text) <= LONGEST else ""
    if not re.fullmatch(r"\d{1,9}|\d{1,3}(?:[, ]\d{3}){1,2}", plain, re.ASCII):
        raise InvalidError(
            f"{shortened(text)} is not a whole number.", hint=f"Write a number from {least} to {most}.", field=field
        )
    count = int(re.sub(r"\D", "", plain))
    if not least <= count <= most:
        raise InvalidError(
            f"{count} is too {'few' if count < least else 'many'}.", hint=f"Use {least} to {most}.", field=field
        )
    return Understood(count, str(count))


def _without_code(text: str, currency: Currency, field: str) -> str:
    """The number alone; a code before or after it has to be the studio's."""
    plain = typed_text(text) if len(text) <= LONGEST else ""
    match = re.fullmatch(r"(?:([a-z]{3}) ?)?([^a-z]*?)(?: ?([a-z]{3}))?", plain)
    if not match:
        return plain
    for code in (match[1], match[3]):
        if code and code.upper() != currency.code:
            raise InvalidError(
                f"The studio's currency is {currency.code}, not {code.upper()}.",
                hint=f"Write the sum in {currency.code}.",
                field=field,
            )
    return match[2]


def _one_sign(whole: str, sign: str, part: str, currency: Currency, field: str) -> tuple[str, str]:
    """Whole units and the digits of the part, where one point or comma could stand for either use."""
    if len(part) != 3 or len(whole) > 3 or int(whole) == 0:
        return whole, part
    if sign == "," and currency.places != 3:
        return whole + part, ""
    if sign == "." and currency.places == 3:
        return whole, part
    raise InvalidError(
        f"{whole}{sign}{part} may be {whole}{part} or {whole}.{part}.",
        hint=f"Write {currency.show(Decimal(whole + part)).replace(',', '')} if that is meant.",
        field=field,
    )
