"""The revised lifting equation of occupational health. Trained lifters exceed it in every session: context, not a limit."""

from floorward import tables


def recommended_weight_kg(
    *, horizontal_cm: float, vertical_cm: float, distance_cm: float, asymmetry_deg: float = 0.0
) -> float:
    """The recommended weight limit for rare lifts with good handles [kg]; 0 outside the equation's range.

    Args:
        horizontal_cm: hands in front of the ankles' middle.
        vertical_cm: hands above the floor at the start.
        distance_cm: how far up the load goes.
        asymmetry_deg: how far to the side.
    """
    reach = tables.value("handling", "horizontal")
    height = tables.value("handling", "vertical")
    way = tables.value("handling", "distance")
    turn = tables.value("handling", "asymmetry")
    beyond = (
        horizontal_cm > reach["most_cm"]
        or not 0 <= vertical_cm <= height["most_cm"]
        or distance_cm > way["most_cm"]
        or asymmetry_deg > turn["most_deg"]
    )
    if beyond:
        return 0.0
    return float(
        tables.value("handling", "load_constant")
        * min(reach["best_cm"] / max(horizontal_cm, reach["best_cm"]), 1.0)
        * (1 - height["slope"] * abs(vertical_cm - height["best_cm"]))
        * min(way["base"] + way["share_cm"] / max(distance_cm, way["least_cm"]), 1.0)
        * (1 - turn["slope"] * asymmetry_deg)
    )
