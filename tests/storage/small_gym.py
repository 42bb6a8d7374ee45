"""A gym with a lifter and three evenings, written into the data folder that DATA names: `python -m tests.storage.small_gym`."""

import os

os.environ["DJANGO_SETTINGS_MODULE"] = "floorward.config"


def write() -> None:
    import django

    django.setup()
    from floorward.storage import migrating

    migrating.bring_up_to_date("default")
    from floorward.actions import gyms
    from tests.conftest import at
    from tests.people import a_gym, a_lifter, iron
    from tests.training import sore_back, trained

    begun = at("2026-11-01 09:00")
    gym = a_gym("Canal Street Iron", begun)
    iron(gym)
    coach = gyms.add_staff(
        gym, name="Bram Okello", sign_in_name="bram", role="coach", password="quiet lever arms"
    )
    for name in ("Abel Norwood", "=1+1", "Zoë “the lever” Kjær"):
        lifter = a_lifter(
            gym, coach, begun, name=name, born_year=1991, sex="male", stature_m=1.76, mass_kg=85.1, unit="kg"
        )
        episode = sore_back(lifter, coach, started="2026-11-10 18:10")
        for day, load in (("2026-11-11", "100"), ("2026-11-14", "102.5"), ("2026-11-18", "105")):
            trained(episode, day, load)


if __name__ == "__main__":
    write()
