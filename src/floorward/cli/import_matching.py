"""What the options of `floorward import-history` and `floorward import-table` say about a table, and what they still have to say."""

import argparse
from collections.abc import Iterable, Iterator, Mapping
from typing import BinaryIO, TypeVar

from floorward.actions.import_survey import Named, Survey, survey
from floorward.actions.mornings import gym_day
from floorward.cli.jsonl import BadRequest
from floorward.core import headings
from floorward.core.past_sets import Matching
from floorward.reports.wording import lift_choices, words
from floorward.storage.models import Gym
from floorward.storage.sheets import COMMAND, lines_of
from floorward.web.now import now

T = TypeVar("T", int, str)


def matching_of(options: argparse.Namespace, gym: Gym, file: BinaryIO, kind: str = "sets") -> Matching:
    """What the table of `kind` (sets, bodies, iron) means.

    Raises:
        BadRequest: it can be read in two ways, or names somebody or a lift that is not known; the message says which option tells.
    """
    seen = survey(gym, kind, file, COMMAND, _columns(options, file, kind))
    if seen.missing:
        raise BadRequest(f"which column is {', '.join(seen.missing)}? say --column {seen.missing[0]}=HEADING")
    lifters = {row.name: row.pk for row in gym.lifters.all()}
    if kind == "bodies":
        lifters |= {"new": 0}
    return Matching(
        columns=seen.columns,
        unit=_unit(options, seen),
        length=_length(options, seen) if kind != "sets" else "",
        over=seen.over,
        day_first=_day_first(options, seen) if kind == "sets" else None,
        decimal_comma=_either(
            options.decimal_comma,
            options.decimal_point,
            seen.evidence.decimal_comma,
            "numbers such as 1,250: say --decimal-comma or --decimal-point",
        ),
        people=dict(_matched("lifter", seen.people, lifters, options)),
        lifts={name: key or "" for name, key in _things(kind, seen, options)},
        today=gym_day(gym, now()),
    )


def _things(kind: str, seen: Survey, options: argparse.Namespace) -> Iterator[tuple[str, str | None]]:
    if kind == "iron":
        return _matched("piece", seen.lifts, {key: key for key in words("piece")}, options)
    lifts = {key: key for key, _ in lift_choices()} | {name: key for key, name in lift_choices()}
    return _matched("lift", seen.lifts, lifts, options)


def _day_first(options: argparse.Namespace, seen: Survey) -> bool:
    ask = "days: say --day-first or --month-first"
    return _either(options.day_first, options.month_first, seen.evidence.order, ask)


def _columns(options: argparse.Namespace, file: BinaryIO, kind: str) -> dict[str, int] | None:
    if not options.column:
        return None
    with lines_of(file, COMMAND) as lines:
        heads = [text.strip() for text in next(lines, (0, []))[1]]
    found = headings.guess(kind, heads)
    for name, heading in _pairs(options.column, "--column"):
        if name not in headings.columns_of(kind):
            raise BadRequest(f"--column {name}: columns are {', '.join(headings.columns_of('sets'))}")
        if heading not in heads:
            raise BadRequest(
                f"--column {name}: there is no heading {heading!r}; there are {', '.join(heads)}"
            )
        place = heads.index(heading)
        found = {key: other for key, other in found.items() if other != place} | {name: place}
    return found


def _length(options: argparse.Namespace, seen: Survey) -> str:
    unit = options.length_unit or seen.length
    if not unit and seen.evidence.bare_lengths:
        raise BadRequest("no unit of lengths is named: say --length-unit cm, mm, m or in")
    return str(unit)


def _unit(options: argparse.Namespace, seen: Survey) -> str:
    unit = options.unit or seen.unit
    measured = {"load", "mass"} & set(seen.columns)
    if not unit and "unit" not in seen.columns and measured:
        raise BadRequest("no unit is named: say --unit kg or --unit lb")
    return str(unit)


def _either(one: object, other: object, guessed: bool | None, ask: str) -> bool:  # noqa: FBT001 - a fact about the table
    if one or other:
        return bool(one)
    if guessed is None:
        raise BadRequest(f"the table may be read in two ways in its {ask}")
    return guessed


def _matched(
    what: str, found: Iterable[Named], known: Mapping[str, T], options: argparse.Namespace
) -> Iterator[tuple[str, T | None]]:
    """Whom or what each name means; one that is not the same word for word must be said."""
    said = dict(_pairs(getattr(options, what, ()), f"--{what}"))
    by_key = {str(key): key for key in known.values()}
    for one in found:
        if one.name in options.leave_out:
            yield one.name, None
        elif one.name in said:
            if said[one.name] not in known:
                raise BadRequest(f"--{what}: there is no {said[one.name]!r}")
            yield one.name, known[said[one.name]]
        elif one.same:
            yield one.name, by_key[one.key]
        else:
            near = next((name for name, key in known.items() if str(key) == one.key), f"a {what} of the gym")
            raise BadRequest(
                f"which {what} is {one.name!r}? say --{what} {one.name!r}={near!r}, or --leave-out {one.name!r}"
            )


def _pairs(given: Iterable[str], option: str) -> Iterator[tuple[str, str]]:
    for text in given:
        name, sign, value = text.partition("=")
        if not sign:
            raise BadRequest(f"{option} {text}: write it as NAME=VALUE")
        yield name.strip(), value.strip()
