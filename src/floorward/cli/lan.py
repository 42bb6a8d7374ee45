"""What `serve --lan` needs to know before it starts: this computer's names and addresses, its certificate, the door for phones."""

import socket
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from floorward.cli.jsonl import BadRequest
from floorward.storage.authority import Signed, authority_in, certificate_for, local_hosts

_ANYWHERE_PRIVATE = "10.255.255.255"  # nothing is sent: only the way out is asked for


@dataclass(frozen=True, slots=True, kw_only=True)
class Lan:
    """Floorward on the gym's network.

    Attributes:
        hosts: addresses and names the certificate is good for; phones are sent to the first.
        port: where the pages are, over HTTPS.
        door_port: where a phone fetches the authority's certificate, over plain HTTP.
        authority: what phones are asked to trust.
        certificate: what the pages are served with.
    """

    hosts: tuple[str, ...]
    port: int
    door_port: int
    authority: Signed
    certificate: Signed

    @property
    def address(self) -> str:
        """Where phones find the pages."""
        return f"https://{_in_address(self.hosts[0])}:{self.port}"

    @property
    def door(self) -> str:
        """Where phones go first."""
        return f"http://{_in_address(self.hosts[0])}:{self.door_port}"


def lan_of(data: Path, port: int, door_port: int, named: Sequence[str], now: datetime) -> Lan:
    """The certificates for this computer as it stands on its network today.

    Args:
        data: folder of all data.
        port: where the pages will be.
        door_port: where the door will be.
        named: addresses or names the owner gave; the first is where phones are sent. Empty: found out.
        now: the moment.

    Raises:
        BadRequest: a name the authority may not vouch for, or no address on a private network.
    """
    foreign = set(named) - set(local_hosts(named))
    if foreign:
        raise BadRequest(
            f"--lan-host {min(foreign)}: give a private address such as 192.168.1.20, or a name that ends in .local or .lan"
        )
    found = local_hosts([*named, *_own_address(), f"{socket.gethostname().split('.')[0]}.local"])
    if not named and not _own_address():
        raise BadRequest(
            "this computer has no address on a private network; join the Wi-Fi, or give one with --lan-host 192.168.1.20"
        )
    folder = data / "lan"
    return Lan(
        hosts=found,
        port=port,
        door_port=door_port,
        authority=authority_in(folder, now),
        certificate=certificate_for(folder, (*found, "localhost", "127.0.0.1"), now),
    )


def _own_address() -> tuple[str, ...]:
    """The address by which this computer reaches a private network, if it has one of its own there."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect((_ANYWHERE_PRIVATE, 9))
        except OSError:
            return ()
        address = str(probe.getsockname()[0])
    return local_hosts([address]) if not address.startswith("127.") else ()


def _in_address(host: str) -> str:
    return f"[{host}]" if ":" in host else host
