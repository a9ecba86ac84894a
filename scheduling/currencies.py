"""The currencies of ISO 4217 that a studio may keep its money in, with the digits after the point."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

_TWO: Final = """
AED dirham, Emirates|AFN afghani|ALL lek|AMD dram|AOA kwanza|ARS peso, Argentina|AUD dollar, Australia
AWG florin, Aruba|AZN manat, Azerbaijan|BAM mark, Bosnia|BBD dollar, Barbados|BDT taka|BMD dollar, Bermuda
BND dollar, Brunei|BOB boliviano|BRL real|BSD dollar, Bahamas|BTN ngultrum|BWP pula|BYN rouble, Belarus
BZD dollar, Belize|CAD dollar, Canada|CDF franc, Congo|CHF franc, Switzerland|CNY yuan|COP peso, Colombia
CRC colon, Costa Rica|CUP peso, Cuba|CVE escudo, Cabo Verde|CZK koruna|DKK krone, Denmark
DOP peso, Dominican Republic|DZD dinar, Algeria|EGP pound, Egypt|ERN nakfa|ETB birr|EUR euro|FJD dollar, Fiji
FKP pound, Falklands|GBP pound sterling|GEL lari|GHS cedi|GIP pound, Gibraltar|GMD dalasi|GTQ quetzal
GYD dollar, Guyana|HKD dollar, Hong Kong|HNL lempira|HTG gourde|HUF forint|IDR rupiah|ILS shekel
INR rupee, India|IRR rial, Iran|JMD dollar, Jamaica|KES shilling, Kenya|KGS som, Kyrgyzstan|KHR riel
KPW won, North Korea|KYD dollar, Cayman|KZT tenge|LAK kip|LBP pound, Lebanon|LKR rupee, Sri Lanka
LRD dollar, Liberia|LSL loti|MAD dirham, Morocco|MDL leu, Moldova|MGA ariary|MKD denar|MMK kyat|MNT tugrik
MOP pataca|MRU ouguiya|MUR rupee, Mauritius|MVR rufiyaa|MWK kwacha, Malawi|MXN peso, Mexico|MYR ringgit
MZN metical|NAD dollar, Namibia|NGN naira|NIO cordoba|NOK krone, Norway|NPR rupee, Nepal|NZD dollar, New Zealand
PAB balboa|PEN sol|PGK kina|PHP peso, Philippines|PKR rupee, Pakistan|PLN zloty|QAR rial, Qatar|RON leu, Romania
RSD dinar, Serbia|RUB rouble, Russia|SAR riyal|SBD dollar, Solomon Islands|SCR rupee, Seychelles
SDG pound, Sudan|SEK krona, Sweden|SGD dollar, Singapore|SHP pound, Saint Helena|SLE leone|SOS shilling, Somalia
SRD dollar, Suriname|SSP pound, South Sudan|STN dobra|SYP pound, Syria|SZL lilangeni|THB baht|TJS somoni
TMT manat, Turkmenistan|TOP pa'anga|TRY lira|TTD dollar, Trinidad|TWD dollar, Taiwan|TZS shilling, Tanzania
UAH hryvnia|USD dollar, United States|UYU peso, Uruguay|UZS sum|VES bolivar|WST tala|XCD dollar, East Caribbean
YER rial, Yemen|ZAR rand|ZMW kwacha, Zambia
"""
_NONE: Final = """
BIF franc, Burundi|CLP peso, Chile|DJF franc, Djibouti|GNF franc, Guinea|ISK krona, Iceland|JPY yen
KMF franc, Comoros|KRW won, South Korea|PYG guarani|RWF franc, Rwanda|UGX shilling, Uganda|VND dong|VUV vatu
XAF franc, Central Africa|XOF franc, West Africa|XPF franc, Pacific
"""
_THREE: Final = """
BHD dinar, Bahrain|IQD dinar, Iraq|JOD dinar, Jordan|KWD dinar, Kuwait|LYD dinar, Libya|OMR rial, Oman
TND dinar, Tunisia
"""


@dataclass(frozen=True, slots=True)
class KnownCurrency:
    """code and places as in ISO 4217; name: plain words to find it by."""

    code: str
    places: int
    name: str


@lru_cache(maxsize=1)
def currencies() -> tuple[KnownCurrency, ...]:
    """All of them by code; those with four places are left out, which no instructor is paid in."""
    found = [
        KnownCurrency(entry[:3], places, entry[4:].strip())
        for text, places in ((_TWO, 2), (_NONE, 0), (_THREE, 3))
        for entry in text.replace("\n", "|").split("|")
        if entry.strip()
    ]
    return tuple(sorted(found, key=lambda one: one.code))


def places_of(code: str) -> int:
    """Digits after the point; 2 for a code that ISO 4217 does not have."""
    return next((one.places for one in currencies() if one.code == code), 2)
