"""What every page's template may show."""

import re

from django.http import HttpRequest

from floorward.storage import place

_OWN_DOOR = re.compile(r"/l/[\w.~-]+/")


def every_page(request: HttpRequest) -> dict[str, object]:
    """The person signed in, their gym, and whether this is the demo."""
    user = getattr(request, "user", None)
    staff = user if user is not None and user.is_authenticated else None
    return {
        "staff": staff,
        "gym": staff.gym if staff else None,
        "is_assigned": getattr(request, "is_assigned", False),
        "sees_health": getattr(request, "sees_health", False),
        "in_demo": place.current() == place.DEMO,
        "own_page": own_page(request),
    }


def own_page(request: HttpRequest) -> str:
    """The first page of the lifter's link that this address belongs to, also where nothing answers it; empty elsewhere."""
    door = _OWN_DOOR.match(request.path)
    return door[0] if door else ""
