"""The gym's protocol: the ceilings and step sizes that every coach of the gym works to.

What is shipped stands in tables/protocol.toml with the range a gym may set. A ceiling may be lowered, never raised.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from typing import Any

from floorward.core.findings import Finding, Weight
from floorward.tables import load, value

CEILINGS = ("ceiling_finding", "ceiling_set", "after_max")
PERCENTS = ("forward_percent", "rung_percent")


class Profile(StrEnum):
    """How willingly the rules step forward."""

    STEADY = "steady"
    ASSERTIVE = "assertive"


@dataclass(frozen=True, slots=True, kw_only=True)
class Protocol:
    """The settings that rules and ladder read.

    Attributes:
        ceiling_finding: highest pain of an acceptable set while a load is being found.
        ceiling_set: highest pain allowed in any training set.
        after_max: highest pain allowed within the hour after.
        forward_percent: how large a step forward is, before it is rounded down to what can be loaded.
        rung_percent: how large a step back is.
        version: shipped version and the gym's own revision; a decision keeps it.
    """

    ceiling_finding: int = value("protocol", "ceiling_finding")
    ceiling_set: int = value("protocol", "ceiling_set")
    after_max: int = value("protocol", "after_max")
    forward_percent: Decimal = Decimal(value("protocol", "forward_percent"))
    rung_percent: Decimal = Decimal(value("protocol", "rung_percent"))
    profile: Profile = Profile.STEADY
    version: str = f"{value('protocol', 'version')}.0"


SHIPPED = Protocol()


def protocol_from(settings: Mapping[str, Any]) -> tuple[Protocol, tuple[Finding, ...]]:
    """The gym's protocol and what is wrong with its settings.

    Args:
        settings: any of Protocol's fields by name, and `revision`, the number of times the gym changed them.

    Returns:
        The protocol, with the shipped value wherever a setting is refused, and the findings.
    """
    findings = (*_range_findings(settings), *_profile_findings(settings), *_order_findings(settings))
    bad = {finding.field for finding in findings}
    good = {
        name: _typed(name, given)
        for name, given in settings.items()
        if name not in bad | {"revision", "version"}
    }
    version = f"{value('protocol', 'version')}.{settings.get('revision', 0)}"
    return Protocol(**good, version=version), findings


def _range_findings(settings: Mapping[str, Any]) -> tuple[Finding, ...]:
    found = (_range_finding(name, settings[name]) for name in (*CEILINGS, *PERCENTS) if name in settings)
    return tuple(finding for finding in found if finding)


def _range_finding(name: str, given: Any) -> Finding | None:
    row = load("protocol")[name]
    kinds = (int,) if name in CEILINGS else (int, Decimal)
    if isinstance(given, bool) or not isinstance(given, kinds) or not Decimal(given).is_finite():
        return Finding(code="setting-not-a-number", field=name, weight=Weight.REFUSE)
    if row["least"] <= given <= row["most"]:
        return None
    raised = name in CEILINGS and given > row["most"]
    numbers = {"given": given, "least": row["least"], "most": row["most"]}
    code = "ceiling-raised" if raised else "setting-outside-range"
    return Finding(code=code, field=name, weight=Weight.REFUSE, numbers=numbers)


def _profile_findings(settings: Mapping[str, Any]) -> tuple[Finding, ...]:
    if settings.get("profile", Profile.STEADY) in tuple(Profile):
        return ()
    return (Finding(code="profile-unknown", field="profile", weight=Weight.REFUSE),)


def _order_findings(settings: Mapping[str, Any]) -> tuple[Finding, ...]:
    """A search may not call acceptable what a training set may not reach."""
    finding = settings.get("ceiling_finding", SHIPPED.ceiling_finding)
    in_set = settings.get("ceiling_set", SHIPPED.ceiling_set)
    if not (isinstance(finding, int) and isinstance(in_set, int) and finding > in_set):
        return ()
    numbers = {"ceiling_finding": finding, "ceiling_set": in_set}
    return (Finding(code="ceilings-crossed", field="ceiling_finding", weight=Weight.REFUSE, numbers=numbers),)


def _typed(name: str, given: Any) -> Any:
    if name in PERCENTS:
        return Decimal(given)
    return Profile(given) if name == "profile" else given
