"""A chance as a coach says it: one in so many."""

from floorward.tables import value


def one_in(chance: float) -> int:
    """The spoken number nearest to one in `chance`; 1 where it is likelier than two in three, 0 where it is hardly worth a word.

    Args:
        chance: 0 to 1.
    """
    most, least = value("tolerance", "odds", "certain"), value("tolerance", "odds", "hardly")
    if chance < least:
        return 0
    if chance > most:
        return 1
    spoken: list[int] = value("tolerance", "odds", "spoken")
    return min(spoken, key=lambda number: (abs(1 / number - chance), number))
