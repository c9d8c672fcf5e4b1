"""What is asked for on the line, and what follows from it: address, where to listen, certificate."""

import argparse
import os
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from tzlocal import get_localzone_name

from deploy import Refused, certificates, health, listening
from deploy.data_folder import DataFolder

HOST_NAME = re.compile(r"[A-Za-z0-9]([A-Za-z0-9.-]{0,50}[A-Za-z0-9])?")  # with "Sixmark of " inside X.509's 64
FIRST = {
    "club": "name of the club",
    "coach": "name of its first head coach",
    "archive": "full path of a club's archive to load instead of making a new club",
    "zone": "its time zone, such as Europe/London (default: this machine's)",
}
EVERYWHERE = {"0.0.0.0", "::"}


@dataclass(frozen=True, slots=True)
class Options:
    """certificate, key: the person's own files for --lan; None: the club's private authority makes them.

    first: what was said of the first club, for the first start alone.
    """

    demo: bool
    port: int
    lan: str
    bind: str
    base_url: str
    certificate: Path | None
    key: Path | None
    first: tuple[tuple[str, str], ...] = ()

    def for_first_start(self) -> dict[str, str]:
        """Names of the first club and coach where given, and the machine's time zone unless another is."""
        return {"zone": get_localzone_name() or "UTC"} | dict(self.first)


@dataclass(frozen=True, slots=True)
class Certificate:
    chain: Path
    key: Path


@dataclass(frozen=True, slots=True)
class Site:
    """address: where the supervisor asks after it. hosts: where web listens. trust: the private authority, if any."""

    address: health.Address
    hosts: tuple[str, ...]
    certificate: Certificate | None = None
    trust: certificates.SiteCertificate | None = None

    @property
    def trust_port(self) -> int:
        """Of the plain page that explains the certificate to tablets."""
        return self.address.port + 1

    @property
    def places(self) -> list[tuple[str, int]]:
        """Every address and port that it is going to listen on."""
        web = [(host, self.address.port) for host in self.hosts]
        return [*web, (self.hosts[0], self.trust_port)] if self.trust else web


def parse(arguments: Sequence[str]) -> Options:
    parser = argparse.ArgumentParser(prog="deploy/up", description="Starts Sixmark. Ctrl-C ends all of it.")
    add = parser.add_argument
    add("--demo", action="store_true", help="with an invented club and a sign-in link for each role")
    add("--port", type=int, default=8000, help="default 8000; with --lan, port + 1 is used too")
    add("--lan", default="", metavar="NAME", help="HTTPS on the local network under this host name or IP address")
    add("--bind", default="", metavar="ADDRESS", help="listen here (default: this machine; all addresses with --lan)")
    add("--base-url", default="", metavar="URL", help="the address that people see, behind a proxy")
    add("--certificate", type=Path, metavar="FILE", help="with --lan: your own certificate chain (PEM)")
    add("--key", type=Path, metavar="FILE", help="with --certificate: its private key (PEM)")
    for name, meaning in FIRST.items():
        add(f"--{name}", metavar=name.upper(), help=f"first start only: {meaning}")
    add("--prepare", action="store_true", help="only install into .venv")
    given = parser.parse_args(arguments)
    if given.lan and not (HOST_NAME.fullmatch(given.lan) or ":" in given.lan):
        parser.error(f"--lan {given.lan!r} is neither a host name nor an IP address")
    if not 1 <= given.port <= 65534:
        parser.error("--port must be between 1 and 65534")
    if (given.certificate is None) != (given.key is None) or (given.certificate and not given.lan):
        parser.error("--certificate, --key and --lan NAME belong together")
    return Options(
        demo=given.demo,
        port=given.port,
        lan=given.lan.lower(),
        bind=given.bind,
        base_url=given.base_url.rstrip("/"),
        certificate=given.certificate and given.certificate.resolve(),
        key=given.key and given.key.resolve(),
        first=tuple((name, getattr(given, name)) for name in FIRST if getattr(given, name)),
    )


def site_of(options: Options, folder: DataFolder) -> Site:
    near = "127.0.0.1" if options.bind in EVERYWHERE | {""} else options.bind
    if not options.lan:
        return Site(_plain_address(options, near), _plain_hosts(options))
    base_url = f"https://{listening.written(options.lan, options.port)}"
    hosts = (options.bind or "0.0.0.0",)
    if options.certificate and options.key:
        for file in (options.certificate, options.key):
            if not os.access(file, os.R_OK):
                raise Refused(f"{file} cannot be read.")
        address = health.Address(near, options.port, base_url, options.certificate)
        return Site(address, hosts, Certificate(options.certificate, options.key))
    made = private_certificate(options, folder)
    address = health.Address(near, options.port, base_url, made.authority)
    return Site(address, hosts, Certificate(made.chain_and_key, made.chain_and_key), made)


def private_certificate(options: Options, folder: DataFolder) -> certificates.SiteCertificate:
    """Made or renewed where needed. A running server reads the file anew for each connection."""
    return certificates.ensure(folder.path / "lan", options.lan, now=datetime.now(UTC))


def _plain_address(options: Options, near: str) -> health.Address:
    behind_proxy = os.environ.get("SIXMARK_BEHIND_PROXY", "").strip().lower() in {"1", "true", "yes"}
    base_url = options.base_url or f"http://localhost:{options.port}"
    return health.Address(near, options.port, base_url, behind_proxy=behind_proxy)


def _plain_hosts(options: Options) -> tuple[str, ...]:
    if options.bind:
        return (options.bind,)
    # A browser may take "localhost" for either of the two loopback addresses.
    return tuple(host for host in ("127.0.0.1", "::1") if listening.available(host))
