"""A gym with a lifter and three evenings, written into the data folder that DATA names: `python -m tests.storage.small_gym`."""

import os

os.environ["DJANGO_SETTINGS_MODULE"] = "floorward.config"


def write() -> None:
    import django

    django.setup()
    from django.core.management import call_command

    call_command("migrate", verbosity=0, database="default")
    from floorward.actions import gyms, lifters
    from tests.conftest import at
    from tests.people import iron
    from tests.training import sore_back, trained

    begun = at("2026-11-01 09:00")
    gym = gyms.open_gym(
        name="Canal Street Iron",
        country="GB",
        emergency_number="",
        time_zone="Europe/London",
        unit="kg",
        now=begun,
    )
    iron(gym)
    coach = gyms.add_staff(
        gym, name="Bram Okello", sign_in_name="bram", role="coach", password="quiet lever arms"
    )
    for name in ("Abel Norwood", "=1+1", "Zoë “the lever” Kjær"):
        lifter = lifters.add_lifter(
            gym,
            coach=coach,
            now=begun,
            name=name,
            born_year=1991,
            sex="male",
            stature_m=1.76,
            mass_kg=85.1,
            unit="kg",
        )
        lifters.record_consent(
            lifter, given_by="lifter", guardian_name="", share_with_clinician=True, by=coach, now=begun
        )
        episode = sore_back(lifter, coach, started="2026-11-10 18:10")
        for day, load in (("2026-11-11", "100"), ("2026-11-14", "102.5"), ("2026-11-18", "105")):
            trained(episode, day, load)


if __name__ == "__main__":
    write()
