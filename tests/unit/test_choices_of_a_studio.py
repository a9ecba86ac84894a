"""Time zones and currencies that a studio may choose."""

from __future__ import annotations

from scheduling.clock import zone_named
from scheduling.currencies import currencies, places_of
from scheduling.money import Currency
from scheduling.time_zones import zone_names


def test_every_zone_offered_is_known_and_old_links_are_left_out() -> None:
    names = zone_names()
    assert "Europe/Berlin" in names
    assert not [name for name in names if name.startswith(("Etc/", "US/"))]
    for name in names:
        zone_named(name)


def test_every_currency_is_one_that_money_takes() -> None:
    codes = [one.code for one in currencies()]
    assert len(codes) == len(set(codes)) > 140
    for one in currencies():
        assert Currency(one.code, one.places).places == one.places
        assert one.name


def test_places_are_those_of_iso_4217() -> None:
    assert [places_of(code) for code in ("EUR", "JPY", "KWD", "ISK")] == [2, 0, 3, 0]
