"""The session card on A5: what to lift, what goes on the bar, boxes for the pain of each set, and when to stop. Bytes out.

It carries a first name and an initial and no word of where it hurts in its head. Whatever a person typed travels as data and
is set as plain text. The same card always gives the same bytes.
"""

from dataclasses import dataclass
from datetime import datetime
from io import BytesIO
from typing import Any

import segno

from floorward.core.records import FULL_HEIGHT_MM, Plate
from floorward.language import number, unbroken
from floorward.reports import paper
from floorward.reports.paper import plain_words as _plain
from floorward.reports.paper import shown as _shown
from floorward.reports.wording import sentence_for, weekday_and_day, word, words
from floorward.units import Unit, plain

_NAME_MOST = 22


@dataclass(frozen=True, slots=True, kw_only=True)
class CardLine:
    """One lift of the session as the card shows it.

    Attributes:
        lift: its name in words.
        set_up: where from, in words: "from the floor"; `set_up_words` makes them.
        load: as written on the bar, such as "110" or "72.5"; empty for bodyweight.
        work: sets and repetitions: "4 × 5".
        sets: how many boxes for pain to draw; 0 where no pain is asked.
        plates: one side, innermost first; None when nothing is loaded on a sleeve (a dumbbell, bodyweight).
        implement: what the plates go on, in words: "bar 20", "trap bar 25".
        warm_ups: sets before, each in words: "60 × 5".
        handling: what goes on and comes off each side, set by set.
    """

    lift: str
    set_up: str = ""
    load: str = ""
    work: str = ""
    sets: int = 0
    plates: tuple[Plate, ...] | None = None
    implement: str = ""
    warm_ups: tuple[str, ...] = ()
    handling: tuple["PlateChange", ...] = ()
    cue: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateChange:
    """What the hands do to each side before a load.

    Attributes:
        load: as written on the bar.
        off, on: masses in words; those that someone else should lift have a mark after them.
        under: what the bar rests on where no plate is of full height, in words.
    """

    load: str
    off: tuple[str, ...] = ()
    on: tuple[str, ...] = ()
    under: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """A session's card.

    Attributes:
        name: the lifter's whole name; the card shows the first name and an initial.
        starts: date and time of the session in the gym's zone.
        limit: pain above which a lift stops, 0 to 10.
        code_address: what the QR code opens, such as the morning check; empty for none.
        no_code: why there is no code, in words; a sentence is chosen when both are empty.
    """

    name: str
    starts: datetime
    coach: str
    minutes: int = 0
    lines: tuple[CardLine, ...] = ()
    unit: Unit = Unit.KG
    limit: int = 5
    code_address: str = ""
    no_code: str = ""
    cautions: tuple[str, ...] = ()


# the same on every card, so that none tells where it hurts
STOP_ALL = ("card-stop-numb", "card-stop-bladder", "card-stop-unwell")


def card_pdf(card: Card) -> bytes:
    """The card as PDF, tagged for screen readers (PDF/UA-1).

    Letters that the shipped face lacks come from the machine's own faces, and the file then makes no promise of PDF/UA.
    """
    return paper.pdf("card.typ", _data(card))


def called(name: str) -> str:
    """First name and an initial: "Abel Norwood" is "Abel N."."""
    parts = _plain(name).split()
    if not parts:
        return word("card", "no-name")
    first = parts[0] if len(parts[0]) <= _NAME_MOST else parts[0][:_NAME_MOST] + "…"
    return first if len(parts) == 1 else f"{first} {parts[-1][0].upper()}."


def set_up_words(height_mm: float, blocks_mm: float = 0.0, pins: bool = False) -> str:  # noqa: FBT001, FBT002 - reads as a set-up
    """Where the bar starts, in words: "from the floor", "on 10 cm of blocks, bar at 32.5 cm"."""
    if not height_mm:
        return ""
    numbers = {"blocks": f"{blocks_mm / 10:g}", "height": f"{height_mm / 10:g}"}
    if blocks_mm:
        return sentence_for("card-on-blocks", numbers)
    if pins:
        return sentence_for("card-on-pins", numbers)
    return sentence_for("card-floor" if height_mm == FULL_HEIGHT_MM else "card-hands-at", numbers)


def _data(card: Card) -> dict[str, Any]:
    """Everything that the page shows, as plain JSON."""
    code = _code_svg(card.code_address)
    return {
        "called": called(card.name),
        "title": sentence_for("card-title", {"name": called(card.name), "day": weekday_and_day(card.starts)}),
        "when": f"{weekday_and_day(card.starts)}, {card.starts:%H:%M}",
        "with": _with(card),
        "unit": str(card.unit),
        "lines": [_line(line) for line in card.lines],
        "stop_lift": [
            sentence_for("card-stop-limit", {"limit": card.limit}),
            sentence_for("card-stop-spreads", {}),
        ],
        "stop_all": [sentence_for(code, {}) for code in STOP_ALL],
        "cautions": [_shown(text) for text in (*card.cautions, sentence_for("card-not-advice", {}))],
        "code_svg": code,
        "code_text": "/\u200b".join(map(_shown, card.code_address.split("/"))),
        "standing": sentence_for("card-standing", {"limit": card.limit}),
        "no_code": "" if code else _shown(card.no_code) or sentence_for("card-no-code", {}),
        "said": words("card"),
    }


def _line(line: CardLine) -> dict[str, Any]:
    each = " · ".join(number(plain(plate.mass.value)) for plate in line.plates or ())
    side = (
        sentence_for("card-each-side", {"plates": each})
        if each
        else word("card", "empty")
        if line.plates == ()
        else ""
    )
    loaded = ", ".join(part for part in (side, unbroken(_shown(line.implement), 1)) if part)
    return {
        "lift": _shown(line.lift),
        "detail": [text for text in (_shown(line.set_up), loaded) if text],
        "load": _shown(line.load),
        "work": _shown(line.work),
        "boxes": max(line.sets, 0),
        "plates": None if line.plates is None else [_plate(plate) for plate in line.plates],
        "warm-up": " · ".join(unbroken(_shown(one)) for one in line.warm_ups),
        "handling": [_change(one) for one in line.handling],
        "cue": _shown(line.cue),
    }


def change_words(change: PlateChange) -> str:
    """A change of plates on each side: "100: −10 +20"."""
    numbers = {"load": change.load, "plates": " ".join(filter(None, _moved(change)))}
    said = sentence_for("card-change", numbers)
    return f"{said} ({_shown(change.under)})" if change.under else said


def _change(change: PlateChange) -> dict[str, str]:
    """A change of plates as a column of the page."""
    off, on = _moved(change)
    return {"load": change.load, "off": off, "on": on, "under": _shown(change.under)}


def _moved(change: PlateChange) -> tuple[str, str]:
    """What comes off and what goes on, in words; the bar alone where nothing does either."""
    off, on = " ".join(f"−{mass}" for mass in change.off), " ".join(f"+{mass}" for mass in change.on)
    return off, on or ("" if off else word("card", "bare"))


def _plate(plate: Plate) -> dict[str, int]:
    return {"diameter": plate.diameter_mm, "thickness": plate.thickness_mm}


def _with(card: Card) -> str:
    about = sentence_for("card-minutes", {"minutes": card.minutes}) if card.minutes else ""
    return " · ".join(
        part for part in (about, sentence_for("card-coach", {"coach": _shown(card.coach)})) if part
    )


def _code_svg(address: str) -> str:
    """The QR code of an address as SVG; empty for none."""
    if not address:
        return ""
    out = BytesIO()
    segno.make(address, error="m", micro=False).save(out, kind="svg", border=0, xmldecl=False)
    return out.getvalue().decode()
