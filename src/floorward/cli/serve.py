"""`floorward serve`: bring the database up to date and serve the pages, on this computer or to the gym's network."""

import argparse
import os
import secrets
import socket
import subprocess
import sys
import threading
import time
from datetime import UTC, datetime
from pathlib import Path

from floorward.cli import patience
from floorward.cli.jsonl import BadRequest
from floorward.cli.lan import Lan, lan_of

FIRST_LOOK_S, LOOK_EVERY_S = 60, 600
THREADS = 12  # of each process: most of them wait, for phones that opened a connection and say nothing yet


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
    command.add_argument(
        "--lan",
        action="store_true",
        help="serve the gym's network over HTTPS, with a certificate of the gym's own",
    )
    command.add_argument(
        "--lan-host",
        action="append",
        default=[],
        metavar="HOST",
        help="address or local name that phones use; may be given again (default: found out)",
    )
    command.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Migrate, print the address (and the code for a new gym), serve until stopped."""
    data = Path(options.data).resolve()
    os.environ.update(DATA=str(data), PORT=str(options.port), PUBLIC_ADDRESS=options.public_address)
    os.environ["DJANGO_SETTINGS_MODULE"] = "floorward.config"
    os.environ["FLOORWARD_FIRST_RUN_CODE"] = _new_code()
    _refuse_a_busy(options.port)
    lan = _to_the_network(data, options) if options.lan else None
    _hold(data)
    _prepare()
    _refuse_an_open_demo()
    _greet(options.port, lan)
    _serve(options.port, lan)
    return 0


def _to_the_network(data: Path, options: argparse.Namespace) -> Lan:
    """The certificates for the network, and the settings that go with HTTPS."""
    _refuse_a_busy(options.port + 1)
    lan = lan_of(data, options.port, options.port + 1, options.lan_host, _this_moment())
    os.environ.update(
        PUBLIC_ADDRESS=options.public_address or lan.address,
        ALLOWED_HOSTS=",".join(filter(None, (os.environ.get("ALLOWED_HOSTS"), *lan.hosts))),
        FLOORWARD_LAN_DOOR=lan.door,
        FLOORWARD_LAN_FINGERPRINT=lan.authority.fingerprint,
    )
    return lan


def _this_moment() -> datetime:
    """The real time, also in a rehearsal: phones judge certificates by their own clock."""
    return datetime.now(UTC)  # noqa: TID251 - before the settings are read


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

    django.setup()
    from django.db import DatabaseError

    from floorward.actions.demo import demo_exists
    from floorward.storage import migrating, place

    migrating.bring_up_to_date(place.GYM)
    try:
        if demo_exists():  # a browser may still stand in it
            migrating.bring_up_to_date(place.DEMO)
    except DatabaseError:  # the gym opens all the same
        print("The demo gym cannot be opened; remove it with `floorward demo --remove`.")


def _refuse_an_open_demo() -> None:
    """The demo has no password; whoever reached it over a network would be its owner."""
    from django.conf import settings

    from floorward.actions.demo import demo_exists

    if settings.REACHED_BY_OTHERS and demo_exists():
        raise BadRequest(
            "others could reach the demo gym, which has no password; remove it with `floorward demo --remove`, then start again"
        )


def _greet(port: int, lan: Lan | None) -> None:
    from floorward.storage.models import Gym

    print(f"floorward is up: {lan.address if lan else f'http://127.0.0.1:{port}'}")
    if lan:
        _show_the_door(lan)
    if not Gym.objects.exists():
        print(f"To start your own gym you need this code: {os.environ['FLOORWARD_FIRST_RUN_CODE']}")
    print("Stop it with Ctrl-C.")
    sys.stdout.flush()


def _show_the_door(lan: Lan) -> None:
    """A QR code for the console, and what else a phone's owner compares."""
    import segno

    print(f"Phones go here first, on the gym's Wi-Fi: {lan.door}")
    segno.make(lan.door, error="m", micro=False).terminal(border=2, compact=True)
    print(f"Fingerprint of the gym's certificate (SHA-256):\n{lan.authority.fingerprint}")


def _serve(port: int, lan: Lan | None) -> None:
    from gunicorn.app.base import BaseApplication

    secure = {"certfile": str(lan.certificate.file), "keyfile": str(lan.certificate.key_file)} if lan else {}

    def ready(_server: object) -> None:
        _back_up_by_the_clock()
        if lan:
            _open_door(lan)

    class Pages(BaseApplication):  # type: ignore[misc]
        def load_config(self) -> None:
            settings = {
                "bind": f"{'0.0.0.0' if lan else '127.0.0.1'}:{port}",  # noqa: S104 - asked for
                "workers": 2,
                "threads": THREADS,
                "loglevel": "warning",
                "control_socket_disable": True,
                "when_ready": ready,
                **secure,
            }
            for name, value in settings.items():
                self.cfg.set(name, value)

        def load(self) -> object:
            from floorward.web.wsgi import application

            return application

    Pages().run()


def _over_tls(lan: Lan) -> dict[str, object]:
    return {
        "certfile": str(lan.certificate.file),
        "keyfile": str(lan.certificate.key_file),
        "ssl_context": patience.context,
    }


def _open_door(lan: Lan) -> None:
    from cryptography.hazmat.primitives.serialization import Encoding

    from floorward.web import door

    certificate = lan.authority.certificate.public_bytes(Encoding.DER)
    door.open_door(lan.door_port, door.pages(lan.address, certificate, lan.authority.fingerprint))


def _back_up_by_the_clock() -> None:
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
