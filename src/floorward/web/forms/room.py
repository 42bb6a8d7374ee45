"""The pain pad: 0 to 10 stacked like a room, the floor below, the ceiling and the limit as lines across."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from floorward.tables import value


class RoomInput(forms.RadioSelect):
    """Eleven keys in three rows. With a ceiling, the rows end at it and at the limit; without one nothing leads the answer."""

    template_name = "_parts/room.html"

    def __init__(self, *, ceiling: int | None = None, limit: int | None = None, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.ceiling, self.limit = ceiling, limit

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        """The rows from the far end to the near one, each with the lid below it."""
        context = super().get_context(name, value, attrs)
        chosen = str(value[0] if isinstance(value, list) else value)
        rows = [
            {**row, "keys": [(score, str(score) == chosen) for score in row["scores"]]} for row in self.rows()
        ]
        context["widget"] |= {"rows": rows, "ceiling": self.ceiling, "limit": self.limit}
        return context

    def rows(self) -> list[dict[str, Any]]:
        """Scores of each row; a row that the lines leave empty is not drawn."""
        ceiling = 3 if self.ceiling is None else self.ceiling
        limit = max(5 if self.limit is None else self.limit, ceiling)
        shares = (
            ("far", limit + 1, 10, "limit"),
            ("mid", ceiling + 1, limit, "ceiling"),
            ("near", 0, ceiling, ""),
        )
        rows = [
            {"place": place, "scores": range(least, most + 1), "lid": lid}
            for place, least, most, lid in shares
        ]
        return [row for row in rows if row["scores"]]


class PainField(forms.TypedChoiceField):
    """A whole number from 0 to 10."""

    def __init__(self, *, ceiling: int | None = None, limit: int | None = None, **kwargs: Any) -> None:
        least, most = value("pain", "scale", "least"), value("pain", "scale", "most")
        super().__init__(
            choices=[(score, score) for score in range(least, most + 1)],
            coerce=int,
            empty_value=None,
            widget=RoomInput(ceiling=ceiling, limit=limit),
            error_messages={
                "required": _("Tap a number from 0 to 10."),
                "invalid_choice": _("Tap a number from 0 to 10."),
            },
            **kwargs,
        )
