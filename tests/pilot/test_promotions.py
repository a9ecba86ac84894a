"""Promotions on screen: made, changed and ended by keys."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from textual.pilot import Pilot

from scheduling.commands.bookings import Book
from scheduling.queries.people import FindPeople
from scheduling.queries.promotions import OnePromotion, Promotions
from scheduling.studio import Studio
from tests.support.demo_studio import opened, typed
from tests.support.golden import check
from tests.support.screens import press, said, screen_text
from tui.widgets.form import Form

pytestmark = pytest.mark.all  # every key of these pages in turn; the main ones run by default elsewhere


def book_early(studio: Studio) -> None:
    """One head with the early bird on each of C09 and C10."""
    for words, number in (("hathermead", 9), ("larrowby", 10)):
        studio.do(Book(class_date_id=number, payer_id=studio.ask(FindPeople(words)).rows[0].id))


async def to_promotions(pilot: Pilot[int]) -> None:
    """By the list of all actions, as a person would who knows only the word."""
    await press(pilot, "full_stop")
    await typed(pilot, "promot")
    await press(pilot, "enter")


async def fill(pilot: Pilot[int], **entries: str) -> None:
    form = pilot.app.screen.query_one(Form)
    for name, text in entries.items():
        form.field(name).take_focus()
        await pilot.pause()
        await pilot.press("end", "ctrl+u")
        await typed(pilot, text)


async def test_an_early_bird_is_made_and_shows_what_was_understood(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        await to_promotions(pilot)
        await press(pilot, "n")
        await fill(pilot, name="Spring", off_minor="10%", ends="T-14", classes="C14, coptic", first_heads="5")
        form = pilot.app.screen.query_one(Form)
        assert "C10 Coptic sketchbook Sun 14 Mar" in form.field("classes").note
        await press(pilot, "ctrl+o")
        row = studio.ask(Promotions()).rows[-1]
        assert (row.promotion.name, row.promotion.kind, row.promotion.percent) == ("Spring", "early bird", Decimal(10))
        assert (row.promotion.first_heads, row.promotion.ends_days_before) == (5, 14)
        assert {"C10", "C14"} <= {at.class_row.ref for at in row.classes}
        assert "Spring is kept as N03" in said(pilot)
        assert "N03 Spring" in screen_text(pilot.app)


async def test_classes_on_both_sides_make_a_bundle(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        await to_promotions(pilot)
        await press(pilot, "n")
        await fill(pilot, name="Two books", off_minor="8", ends="20 feb", classes="C10", others="C12")
        await press(pilot, "ctrl+o")
        row = studio.ask(Promotions()).rows[-1]
        assert (row.promotion.kind, row.promotion.off, row.promotion.ends) == ("bundle", 800, dt.date(2027, 2, 20))
        assert [(at.class_row.ref, at.role) for at in row.classes] == [("C10", "one"), ("C12", "other")]


async def test_a_class_that_is_not_there_is_refused_at_its_entry(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        await to_promotions(pilot)
        await press(pilot, "n")
        await fill(pilot, name="Spring", off_minor="10%", classes="quilting")
        await press(pilot, "ctrl+o")
        assert "No class to come is found" in pilot.app.screen.query_one(Form).field("classes").note
        assert len(studio.ask(Promotions()).rows) == 2


async def test_a_promotion_is_changed_from_its_row_and_its_page(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        await to_promotions(pilot)
        await press(pilot, "c")
        await fill(pilot, off_minor="20%")
        await press(pilot, "ctrl+o")
        assert studio.ask(OnePromotion(1)).promotion.percent == 20
        await press(pilot, "enter", "c")
        await fill(pilot, classes="C09")
        await press(pilot, "ctrl+o")
        assert [at.class_row.ref for at in studio.ask(OnePromotion(1)).classes] == ["C09"]
        assert "bookings made already keep their price" in said(pilot)


async def test_a_promotion_ends_after_asking_and_goes_on_again(studio: Studio) -> None:
    book_early(studio)
    async with opened(studio, "classes") as pilot:
        await to_promotions(pilot)
        await press(pilot, "x")
        assert "2 booked with it keep their price" in screen_text(pilot.app)
        await press(pilot, "enter")
        assert not studio.ask(OnePromotion(1)).ended, "the first answer leaves it"
        await press(pilot, "x", "down", "enter")
        assert studio.ask(OnePromotion(1)).ended
        assert "N01" not in screen_text(pilot.app).split("N02")[0]
        await press(pilot, "v")
        assert "N01 Early bird" in screen_text(pilot.app)
        await press(pilot, "end", "up", "up", "x")
        assert not studio.ask(OnePromotion(1)).ended


async def test_enter_goes_from_a_promotion_to_the_sum_at_a_class_and_to_the_class(studio: Studio) -> None:
    book_early(studio)
    async with opened(studio, "classes") as pilot:
        await to_promotions(pilot)
        await press(pilot, "enter")
        assert "58.00 at the" in screen_text(pilot.app)
        assert "less 8.70 off, brings 49.30" in screen_text(pilot.app)
        await press(pilot, "enter")
        assert "C09" in screen_text(pilot.app).splitlines()[0]
        await press(pilot, "escape")
        await press(pilot, "escape")
        assert "N02 Two Lights" in screen_text(pilot.app)


async def test_a_hosts_place_is_explained_and_opens_the_class(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        await to_promotions(pilot)
        await press(pilot, "end")
        assert "7 come, 1 head more and it is" in screen_text(pilot.app).replace("\n    ", " ")
        await press(pilot, "enter")
        assert "C13" in screen_text(pilot.app).splitlines()[0]


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_the_promotions_as_they_look(studio: Studio, size: tuple[int, int]) -> None:
    book_early(studio)
    async with opened(studio, "classes", size=size) as pilot:
        at = f"{size[0]}x{size[1]}"
        await to_promotions(pilot)
        check(pilot.app, f"promotions-{at}")
        await press(pilot, "enter")
        check(pilot.app, f"promotion-{at}")
        await press(pilot, "c")
        check(pilot.app, f"promotion-form-{at}")
