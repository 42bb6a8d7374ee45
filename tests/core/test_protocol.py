from decimal import Decimal

import pytest

from floorward.core.findings import refused
from floorward.core.protocol import SHIPPED, Profile, protocol_from


def test_what_is_shipped_is_three_five_five():
    assert (SHIPPED.ceiling_finding, SHIPPED.ceiling_set, SHIPPED.after_max) == (3, 5, 5)
    assert (SHIPPED.forward_percent, SHIPPED.rung_percent, SHIPPED.profile) == (5, 10, Profile.STEADY)


def test_no_settings_are_the_shipped_protocol():
    assert protocol_from({}) == (SHIPPED, ())


@pytest.mark.parametrize(("name", "raised"), [("ceiling_finding", 4), ("ceiling_set", 6), ("after_max", 6)])
def test_a_raised_ceiling_is_refused_and_the_shipped_one_stays(name, raised):
    protocol, findings = protocol_from({name: raised})
    assert [(f.code, f.field) for f in findings if f.code != "ceilings-crossed"] == [("ceiling-raised", name)]
    assert refused(findings)
    assert getattr(protocol, name) == getattr(SHIPPED, name)


def test_a_ceiling_may_be_lowered():
    protocol, findings = protocol_from({"ceiling_finding": 2, "ceiling_set": 4, "after_max": 0})
    assert findings == ()
    assert (protocol.ceiling_finding, protocol.ceiling_set, protocol.after_max) == (2, 4, 0)


def test_a_search_may_not_accept_what_a_set_may_not_reach():
    _, findings = protocol_from({"ceiling_set": 2})
    assert [f.code for f in findings] == ["ceilings-crossed"]


@pytest.mark.parametrize(
    ("name", "given"),
    [("forward_percent", 1), ("forward_percent", 11), ("rung_percent", 9), ("rung_percent", 21)],
)
def test_step_sizes_stay_within_their_range(name, given):
    _, findings = protocol_from({name: given})
    assert [(f.code, f.field) for f in findings] == [("setting-outside-range", name)]


@pytest.mark.parametrize("given", ["3", None, True, 2.5, Decimal("2.5")])
def test_a_ceiling_is_a_whole_number(given):
    _, findings = protocol_from({"after_max": given})
    assert [f.code for f in findings] == ["setting-not-a-number"]


def test_a_step_that_is_no_number_is_refused():
    _, findings = protocol_from({"forward_percent": Decimal("NaN")})
    assert [f.code for f in findings] == ["setting-not-a-number"]


def test_a_profile_is_one_of_two():
    assert protocol_from({"profile": "assertive"})[0].profile is Profile.ASSERTIVE
    assert [f.code for f in protocol_from({"profile": "bold"})[1]] == ["profile-unknown"]


def test_the_version_names_the_gyms_own_revision():
    protocol, _ = protocol_from({"revision": 3, "forward_percent": Decimal("2.5")})
    assert protocol.version == "1.3"
    assert protocol.forward_percent == Decimal("2.5")
