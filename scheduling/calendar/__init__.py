"""Calendar files: classes and prep written as iCalendar (RFC 5545), other people's calendars read.

Writing needs the standard library alone; `read_calendar` imports icalendar when it is called, not before.
"""

from scheduling.calendar.entries import (
    Alarm,
    BusyBlock,
    CalendarEvent,
    CalendarFile,
    CalendarTodo,
    Conference,
    PublicEvent,
)
from scheduling.calendar.found import CalendarRead, FoundTodo, Notice, Occurrence, calendar_answer
from scheduling.calendar.read import read_calendar
from scheduling.calendar.save import save_calendar
from scheduling.calendar.strict import Problem, problems_in, require_strict
from scheduling.calendar.write import private_calendar, public_calendar

__all__ = [
    "Alarm",
    "BusyBlock",
    "CalendarEvent",
    "CalendarFile",
    "CalendarRead",
    "CalendarTodo",
    "Conference",
    "FoundTodo",
    "Notice",
    "Occurrence",
    "Problem",
    "PublicEvent",
    "calendar_answer",
    "private_calendar",
    "problems_in",
    "public_calendar",
    "read_calendar",
    "require_strict",
    "save_calendar",
]
