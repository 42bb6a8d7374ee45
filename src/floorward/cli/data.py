"""What the commands about data share: the data folder and the passphrase."""

import argparse
import getpass
import os
import sys
from pathlib import Path

from floorward.cli.jsonl import BadRequest


def add_data_option(command: argparse.ArgumentParser) -> None:
    """The option that names the data folder."""
    command.add_argument(
        "--data", default=os.environ.get("DATA", "data"), help="folder of all data (default: DATA or ./data)"
    )


def set_up(folder: str, *, must_exist: bool = True) -> Path:
    """Load the settings for the data folder; its path."""
    data = Path(folder).resolve()
    if must_exist and not data.is_dir():
        raise BadRequest(f"there is no data folder {data}; give it with --data")
    os.environ.update(DATA=str(data), DJANGO_SETTINGS_MODULE="floorward.config")
    import django

    django.setup()
    return data


def passphrase(*, twice: bool) -> str:
    """From BACKUP_PASSPHRASE, else asked for at the prompt (`twice` where a slip would lock the file for good)."""
    from django.conf import settings

    if settings.BACKUP_PASSPHRASE:
        return str(settings.BACKUP_PASSPHRASE)
    if not sys.stdin.isatty():
        raise BadRequest("a passphrase is needed: set BACKUP_PASSPHRASE, or run this where it can be typed")
    given = getpass.getpass("Passphrase: ")
    if not given:
        raise BadRequest("the passphrase may not be empty")
    if twice and getpass.getpass("Once more: ") != given:
        raise BadRequest("the two were not the same; nothing was written")
    return given
