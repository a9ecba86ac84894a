"""The last gate of every export: a calendar that is not right to the octet is not handed out (RFC 5545, 7986, 9074)."""

from __future__ import annotations

import re
from dataclasses import dataclass

from scheduling.calendar.strict_rules import Component, Property, component_problems
from scheduling.calendar.strict_zones import zone_problems
from scheduling.calendar.texts import LINE_OCTETS, first_unsafe
from scheduling.errors import SchedulingError

_BOM = b"\xef\xbb\xbf"
_LONE_BREAK = re.compile(rb"\r(?!\n)|(?<!\r)\n")
_CONTROLS = bytes(code for code in (*range(0x20), 0x7F) if code not in b"\t\r\n")
_SPLIT_CHARACTER = re.compile(rb"\r\n[ \t][\x80-\xbf]")
_SPLIT_ESCAPE = re.compile(rb"(?<!\\)(?:\\\\)*\\\r\n[ \t]")
_LINE = re.compile(
    r'([A-Za-z0-9-]+)((?:;[A-Za-z0-9-]+=(?:"[^"]*"|[^";:,]*)(?:,(?:"[^"]*"|[^";:,]*))*)*):(.*)', re.DOTALL
)
_PARAMETER = re.compile(r';([A-Za-z0-9-]+)=((?:"[^"]*"|[^";:,]*)(?:,(?:"[^"]*"|[^";:,]*))*)')
_DEEPEST = 4


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """One thing that is wrong: `line` counts physical lines from 1, `text` is a sentence without its full stop."""

    line: int
    text: str


def problems_in(octets: bytes, *, public: bool) -> list[Problem]:
    """Everything that is wrong with a calendar file, by line; empty for a right one.

    Checks octets, grammar, which properties stand where and how often, each value, how values agree with each other,
    and every zone against the zone rules that Python reads. `public` adds that only what anyone may read is in it.
    Harder than the standards where programs differ: no METHOD, no BOM, no escapes cut by folds, UID once.
    """
    problems = _octet_problems(octets)
    try:
        text = octets.removeprefix(_BOM).decode("utf-8")
    except UnicodeDecodeError as error:
        return sorted([*problems, Problem(_line_at(octets, error.start), "it is not UTF-8")])
    unsafe = first_unsafe(text)
    if unsafe:
        line = text.count("\n", 0, unsafe.start()) + 1
        problems.append(Problem(line, f"the character U+{ord(unsafe[0]):04X} may not stand in a calendar"))
    roots, found = _components(text)
    problems += found
    if len(roots) != 1 or roots[0].name != "VCALENDAR":
        problems.append(Problem(1, "there is not exactly one VCALENDAR"))
    for root in roots:
        problems += [Problem(line, sentence) for line, sentence in component_problems(root, public=public)]
        problems += [Problem(line, sentence) for line, sentence in zone_problems(root)]
    return sorted(set(problems))


def require_strict(octets: bytes, *, public: bool) -> None:
    """Raises SchedulingError, naming the first line that is wrong, unless the calendar is right."""
    problems = problems_in(octets, public=public)
    if problems:
        first = problems[0]
        raise SchedulingError(
            f"The calendar was not written: line {first.line} would be wrong, {first.text}.",
            hint="Mend the entry that this line comes from; the file of before is untouched.",
            field="calendar",
        )


def _octet_problems(octets: bytes) -> list[Problem]:
    problems = []
    if octets.startswith(_BOM):
        problems.append(Problem(1, "it starts with a byte order mark"))
    if not octets.endswith(b"\r\n"):
        problems.append(Problem(octets.count(b"\n") + 1, "the last line has no CRLF"))
    if len(octets.translate(None, _CONTROLS)) != len(octets):
        position = next(position for position, code in enumerate(octets) if code in _CONTROLS)
        problems.append(Problem(_line_at(octets, position), "it holds a control character"))
    breaks = octets.count(b"\r\n")
    suspects = []
    if octets.count(b"\r") != breaks or octets.count(b"\n") != breaks:
        suspects.append((_LONE_BREAK, "a line does not end with CRLF"))
    if b"\\\r\n" in octets:
        suspects.append((_SPLIT_ESCAPE, "a fold splits an escape"))
    suspects.append((_SPLIT_CHARACTER, "a fold splits a character"))
    for pattern, sentence in suspects:
        match = pattern.search(octets)
        if match:
            problems.append(Problem(_line_at(octets, match.start()), sentence))
    lines = octets.split(b"\r\n")
    if max(map(len, lines)) > LINE_OCTETS:
        number = next(number for number, line in enumerate(lines, 1) if len(line) > LINE_OCTETS)
        problems.append(Problem(number, f"it is longer than {LINE_OCTETS} octets"))
    if b"" in lines[:-1]:
        problems.append(Problem(lines.index(b"") + 1, "it is empty"))
    return problems


def _line_at(octets: bytes, position: int) -> int:
    return octets.count(b"\n", 0, position) + 1


def _components(text: str) -> tuple[list[Component], list[Problem]]:
    """The tree of components; lines that are no content lines, and ends that do not fit, are problems."""
    roots: list[Component] = []
    stack: list[Component] = []
    problems: list[Problem] = []
    for number, line in _content_lines(text):
        match = _LINE.fullmatch(line)
        if match is None:
            problems.append(Problem(number, "it is not a content line"))
            continue
        name, value = match[1].upper(), match[3]
        if name == "BEGIN":
            component = Component(value, number)
            (stack[-1].children if stack else roots).append(component)
            stack.append(component)
            if len(stack) > _DEEPEST:
                return roots, [*problems, Problem(number, "components are nested too deeply")]
        elif name == "END":
            if not stack or stack.pop().name != value:
                return roots, [*problems, Problem(number, f"END:{value} closes nothing")]
        elif not stack:
            problems.append(Problem(number, f"{name} stands outside a component"))
        else:
            parameters = {}
            if match[2]:
                parameters = {key.upper(): worth.strip('"') for key, worth in _PARAMETER.findall(match[2])}
                if len(parameters) != len(_PARAMETER.findall(match[2])):
                    problems.append(Problem(number, f"{name} has one parameter twice"))
            stack[-1].properties.setdefault(name, []).append(Property(number, name, parameters, value))
    problems += [Problem(component.line, f"{component.name} is not closed") for component in stack]
    return roots, problems


def _content_lines(text: str) -> list[tuple[int, str]]:
    """Un-folded lines, each with the number of its first physical line."""
    lines: list[tuple[int, str]] = []
    for number, line in enumerate(text.split("\r\n"), 1):
        if line[:1] in {" ", "\t"} and lines:
            first, start = lines[-1]
            lines[-1] = (first, start + line[1:])
        elif line:
            lines.append((number, line))
    return lines
