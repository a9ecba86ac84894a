"""What a column of a sheet can hold."""

from __future__ import annotations

from enum import StrEnum


class Meaning(StrEnum):
    """What a column holds."""

    NAME = "name"
    FIRST = "first name"
    LAST = "last name"
    EMAIL = "e-mail"
    PHONE = "phone"
    BIRTHDAY = "birthday"
    STREET = "street"
    POSTCODE = "postcode"
    CITY = "city"
    COUNTRY = "country"
    ADDRESS = "address"
    GUARDIAN = "guardian"
    CONSENT = "consent"
    HEALTH = "health or access needs"
    CLASS = "class"
    DATE = "class date"
    TIME = "class time"
    HEADS = "heads"
    GUESTS = "guests"
    STATE = "status"
    PAID = "paid"
    PRICE = "price"
    NOTE = "note"
    ROW_ID = "sign-up number"
    ORDER_ID = "order number"
    PERSON_ID = "person number"
    SIGNED_AT = "signed up at"
    UNUSED = "not used"


SINGLE = frozenset(
    {
        *(Meaning.DATE, Meaning.TIME, Meaning.CLASS, Meaning.HEADS, Meaning.PAID, Meaning.PRICE, Meaning.BIRTHDAY),
        *(Meaning.FIRST, Meaning.LAST, Meaning.ROW_ID, Meaning.ORDER_ID, Meaning.PERSON_ID),
    }
)
"""Of these a sheet has one column; the best header wins and the rest stay unused."""
