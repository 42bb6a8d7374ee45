"""What can go wrong that is not the person's slip.

FloorwardError
├── TableError      a shipped table is wrong (ours; stops the program)
├── StorageError    the database cannot be read or written
├── Refused         an action that the protocol, consent or a colleague's change does not allow
└── ContractError   a function was called with what its docstring forbids (ours)

A person's slip is none of these: it is a `Finding` beside the field (core/findings.py).
"""


class FloorwardError(Exception):
    """The parent of all of Floorward's own exceptions."""


class TableError(FloorwardError):
    """A shipped table has a row without unit, source or sense."""


class StorageError(FloorwardError):
    """The database cannot be read or written; the message says what to do."""


class Refused(FloorwardError):  # noqa: N818 - reads as the answer it is
    """An action is not allowed now; `code` finds the sentence in reports/wording."""

    def __init__(self, code: str, **numbers: object) -> None:
        super().__init__(code)
        self.code = code
        self.numbers = numbers


class ContractError(FloorwardError):
    """A function was called with what its docstring forbids."""
