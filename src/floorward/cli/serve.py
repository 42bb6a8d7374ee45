"""`floorward serve`: bring the database up to date and serve the pages."""

import argparse
import os
import secrets
import socket
import subprocess
import sys
import threading
import time
from pathlib import Path

from floorward.cli.jsonl import BadRequest

FIRST_LOOK_S, LOOK_EVERY_S = 60, 600


def register(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    command = commands.add_parser("serve", help="serve the pages on 127.0.0.1")
    command.add_argument(
        "--port", type=int, default=int(os.environ.get("PORT", "8000")), help="default: PORT or 8000"
    )
    command.add_argument(
        "--data", default=os.environ.get("DATA", "data"), help="folder of all data (default: DATA or ./data)"
    )
    command.add_argument(
        "--public-address", default=os.environ.get("PUBLIC_ADDRESS", ""), help="address that phones reach"
    )
    command.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Migrate, print the address (and the code for a new gym), serve until stopped."""
    os.environ.update(
        DATA=str(Path(options.data).resolve()), PORT=str(options.port), PUBLIC_ADDRESS=options.public_address
    )
    os.environ["DJANGO_SETTINGS_MODULE"] = "floorward.config"
    os.environ["FLOORWARD_FIRST_RUN_CODE"] = _new_code()
    _refuse_a_busy(options.port)
    _hold(Path(os.environ["DATA"]))
    _prepare()
    _greet(options.port)
    _serve(options.port)
    return 0


def _new_code() -> str:
    """A one-time code short enough to type from a console."""
    return "-".join(secrets.token_hex(2) for _ in range(2))


def _refuse_a_busy(port: int) -> None:
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind(("127.0.0.1", port))
        except (OSError, OverflowError) as error:
            raise BadRequest(
                f"port {port} cannot be had; give another with --port, or PORT=8001 make run"
            ) from error


def _hold(data: Path) -> None:
    """So that no backup is restored under a running server."""
    from floorward.storage import holding

    data.mkdir(parents=True, exist_ok=True)
    holding.hold(data)


def _prepare() -> None:
    import django
    from django.core.management import call_command

    django.setup()
    call_command("migrate", verbosity=0, database="default")


def _greet(port: int) -> None:
    from floorward.storage.models import Gym

    print(f"floorward is up: http://127.0.0.1:{port}")
    if not Gym.objects.exists():
        print(f"To start your own gym you need this code: {os.environ['FLOORWARD_FIRST_RUN_CODE']}")
    print("Stop it with Ctrl-C.")
    sys.stdout.flush()


def _serve(port: int) -> None:
    from gunicorn.app.base import BaseApplication

    class Pages(BaseApplication):  # type: ignore[misc]
        def load_config(self) -> None:
            settings = {
                "bind": f"127.0.0.1:{port}",
                "workers": 2,
                "threads": 2,
                "loglevel": "warning",
                "control_socket_disable": True,
                "when_ready": _back_up_by_the_clock,
            }
            for name, value in settings.items():
                self.cfg.set(name, value)

        def load(self) -> object:
            from floorward.web.wsgi import application

            return application

    Pages().run()


def _back_up_by_the_clock(_server: object) -> None:
    """A thread of the parent process that looks every few minutes whether a backup is due; the work is a process of its own."""
    from django.conf import settings

    if settings.BACKUP_EVERY_HOURS > 0:
        threading.Thread(target=_keep_backing_up, name="backups", daemon=True).start()


def _keep_backing_up() -> None:
    command = [sys.executable, "-m", "floorward.cli", "backup", "--due", "--data", os.environ["DATA"]]
    time.sleep(FIRST_LOOK_S)
    while True:
        subprocess.run(command, check=False)  # noqa: S603 - our own program; it says itself what is wrong
        time.sleep(LOOK_EVERY_S)
