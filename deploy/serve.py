"""Starts the site and stays: prepares the data folder, starts web, workers and schedule, prints the address.

Run by deploy/up. It loads the site once and forks the processes from there; see deploy/processes.py.
"""

import argparse
import io
import os
import re
import sys
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import partial
from pathlib import Path

from deploy import Refused, certificates, health, listening
from deploy.data_folder import DataFolder, Stamps, stamp_of_applied, stamp_of_files, write_json
from deploy.processes import Ended, Family, Role, run_job, watch_signals

PATIENCE_S = 60.0
CERTIFICATE_LOOK_S = 6 * 3600.0
HOST_NAME = re.compile(r"[A-Za-z0-9]([A-Za-z0-9.-]{0,50}[A-Za-z0-9])?")  # with "Sixmark of " inside X.509's 64


@dataclass(frozen=True, slots=True)
class Options:
    demo: bool
    port: int
    lan: str
    bind: str
    base_url: str


def main(arguments: list[str]) -> int:
    options = parse(arguments)
    os.umask(0o077)
    watch_signals()
    try:
        folder = DataFolder.open()
        with folder.held("deploy/up"):
            return run(options, folder)
    except Refused as refusal:
        print(f"\n{refusal}", file=sys.stderr)
        return 1
    except Ended:
        print("\nEnded before it had started.", file=sys.stderr)
        return 130


def parse(arguments: list[str]) -> Options:
    parser = argparse.ArgumentParser(prog="deploy/up", description="Starts Sixmark. Ctrl-C ends all of it.")
    parser.add_argument("--demo", action="store_true", help="with an invented club and a sign-in link for each role")
    parser.add_argument("--port", type=int, default=8000, help="default 8000; with --lan, port + 1 is used too")
    parser.add_argument(
        "--lan", default="", metavar="NAME", help="HTTPS on the local network under this host name or IP"
    )
    parser.add_argument(
        "--bind", default="", metavar="ADDRESS", help="listen here (default: this machine; all with --lan)"
    )
    parser.add_argument("--base-url", default="", metavar="URL", help="the address that people see, behind a proxy")
    parser.add_argument("--prepare", action="store_true", help="only install into .venv")
    given = parser.parse_args(arguments)
    if given.lan and not (HOST_NAME.fullmatch(given.lan) or ":" in given.lan):
        parser.error(f"--lan {given.lan!r} is neither a host name nor an IP address")
    if not 1 <= given.port <= 65534:
        parser.error("--port must be between 1 and 65534")
    return Options(given.demo, given.port, given.lan.lower(), given.bind, given.base_url.rstrip("/"))


def run(options: Options, folder: DataFolder) -> int:
    if folder.unfinished_restore.exists():
        raise Refused("A restore did not finish, so erased people may be back. Run deploy/restore again first.")
    folder.ensure_secret_key()
    site, places = _site(options, folder), _places(options)
    for host, port in places:
        listening.refuse_if_taken(host, port)
    _load(folder, site.address)
    words = _prepare(folder, options, site.address)
    folder.empty_broker()
    family = Family(
        _roles(site, places), folder.log_file, changed=partial(_record, folder.path / "running.json", site.address)
    )
    try:
        family.start()
        _wait_until_well(family, site.address)
        _greet(site, folder, words)
        _stay(family, options, folder)
    except Ended:
        print("\nEnding ...", flush=True)
    finally:
        family.end()
        (folder.path / "running.json").unlink(missing_ok=True)
    return 0


# --- where it listens ----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Site:
    """address: where the supervisor asks after it. certificate: with --lan. trust_port: of the plain page beside it."""

    address: health.Address
    certificate: certificates.SiteCertificate | None = None
    bind: str = ""

    @property
    def trust_port(self) -> int:
        return self.address.port + 1


def _site(options: Options, folder: DataFolder) -> Site:
    near = options.bind if options.bind not in {"", "0.0.0.0", "::"} else "127.0.0.1"
    behind_proxy = os.environ.get("SIXMARK_BEHIND_PROXY", "").strip().lower() in {"1", "true", "yes"}
    if not options.lan:
        base_url = options.base_url or f"http://localhost:{options.port}"
        return Site(health.Address(near, options.port, base_url, behind_proxy=behind_proxy))
    certificate = _certificate(options, folder)
    in_address = f"[{options.lan}]" if ":" in options.lan else options.lan
    address = health.Address(near, options.port, f"https://{in_address}:{options.port}", certificate.authority)
    return Site(address, certificate, options.bind or "0.0.0.0")


def _certificate(options: Options, folder: DataFolder) -> certificates.SiteCertificate:
    return certificates.ensure(folder.path / "lan", options.lan, now=datetime.now(UTC))


def _places(options: Options) -> list[tuple[str, int]]:
    if options.lan:
        host = options.bind or "0.0.0.0"
        return [(host, options.port), (host, options.port + 1)]
    if options.bind:
        return [(options.bind, options.port)]
    # A browser may take "localhost" for either of the two loopback addresses.
    return [(host, options.port) for host in ("127.0.0.1", "::1") if listening.available(host)]


# --- the site, loaded once ------------------------------------------------------------------------


def _load(folder: DataFolder, address: health.Address) -> None:
    os.environ["DJANGO_SETTINGS_MODULE"] = "club.settings"
    if address.authority is not None:
        os.environ["SIXMARK_HTTPS"] = "1"
    hosts = [word for word in os.environ.get("SIXMARK_ALLOWED_HOSTS", "").split(",") if word.strip()]
    if hosts or address.name not in {"localhost", "127.0.0.1", "::1"}:
        name = f"[{address.name}]" if ":" in address.name else address.name
        os.environ["SIXMARK_ALLOWED_HOSTS"] = ",".join(dict.fromkeys([*(hosts or ["localhost"]), name]))
    import django
    from django.urls import get_resolver

    django.setup()
    _ = get_resolver().url_patterns  # every child needs the pages' code; loaded here it is loaded once


def _prepare(folder: DataFolder, options: Options, address: health.Address) -> str:
    """Brings database, static files and first club up to date. Returns what the first start has to say."""
    stamps = Stamps(folder.path / "prepared.json")
    url = os.environ.get("SIXMARK_DATABASE_URL", "").strip()
    code = stamp_of_files(["migrations"])

    def schema_stamp() -> str:
        return f"{code} {stamp_of_applied(folder.sqlite_file, url)}"

    if not stamps.fresh("schema", schema_stamp()):
        print("Bringing the database up to date ...", flush=True)
        _command("migrate", interactive=False, verbosity=0)
        _command("createcachetable", verbosity=0)
        stamps.done("schema", schema_stamp())
    static = stamp_of_files(["static"])
    if not (stamps.fresh("static", static) and (folder.path / "static-built").exists()):
        _command("collectstatic", interactive=False, verbosity=0, clear=True)
        stamps.done("static", static)
    return _command("first_start", base_url=address.base_url, demo=options.demo)


def _command(name: str, **options: object) -> str:
    """Runs a management command in a child, so that the supervisor holds no database connection. Returns its output."""
    from django.core.management import CommandError, call_command

    def job() -> None:
        try:
            call_command(name, **options)
        except CommandError as error:
            sys.exit(str(error))

    code, printed = run_job(job, name=name)
    if code != 0:
        raise Refused(f"{name} did not succeed:\n{printed.rstrip()}")
    return printed


# --- the processes --------------------------------------------------------------------------------


def _roles(site: Site, places: list[tuple[str, int]]) -> tuple[Role, ...]:
    web_places = places[:1] if site.certificate else places
    roles = [
        Role("web", partial(_web, web_places, site.certificate, site.address.behind_proxy)),
        Role("schedule", _schedule),
        Role("quick", partial(_worker, "quick")),
        Role("long", partial(_worker, "long"), nice=10),
    ]
    if site.certificate:
        roles.append(Role("trust-page", partial(_trust_page, site)))
    return tuple(roles)


def _web(places: list[tuple[str, int]], certificate: certificates.SiteCertificate | None, behind_proxy: bool) -> None:
    from gunicorn.app.wsgiapp import WSGIApplication

    options = ["--worker-class=gthread", "--workers=2", "--threads=8", "--graceful-timeout=5", "--timeout=60"]
    options += ["--preload", "--no-control-socket", "--log-level=warning", "--keep-alive=15"]
    options += [f"--bind={listening.written(host, port)}" for host, port in places]
    # Only a proxy that the person has named may say that a request came over https.
    options.append(f"--forwarded-allow-ips={'127.0.0.1,::1' if behind_proxy else ''}")
    if certificate:
        options += [f"--certfile={certificate.chain_and_key}", f"--keyfile={certificate.chain_and_key}"]
    sys.argv = ["gunicorn", *options, "club.wsgi:application"]
    WSGIApplication("%(prog)s [OPTIONS] [APP_MODULE]").run()


def _worker(queue: str) -> None:
    from club.celery import app

    app.worker_main(
        ["worker", "-Q", queue, "-n", f"{queue}@%h", "--concurrency=1", "--loglevel=WARNING"]
        + ["--without-gossip", "--without-mingle", "--without-heartbeat"]
    )


def _schedule() -> None:
    from club.celery import app

    # The schedule's first ring would come only after its first pause; duties left over are due now.
    for entry in app.conf.beat_schedule.values():
        app.send_task(entry["task"], args=entry.get("args"), kwargs=entry.get("kwargs"), **entry.get("options", {}))
    # Kept in memory: nothing to mend after a kill, and every entry is a matter of seconds.
    app.start(["beat", "--loglevel=WARNING", "--scheduler=celery.beat:Scheduler"])


def _trust_page(site: Site) -> None:
    from deploy import trust_page

    if site.certificate is None:
        raise ValueError("the trust page belongs to a private certificate")
    trust = trust_page.Trust(site.address.base_url, site.certificate.authority, site.certificate.fingerprint)
    trust_page.serve(trust, site.bind, site.trust_port)


def _record(file: Path, address: health.Address, pids: dict[str, int]) -> None:
    write_json(file, {"pid": os.getpid(), "url": address.base_url, "children": pids})


# --- from the first healthy answer on -------------------------------------------------------------


def _wait_until_well(family: Family, address: health.Address) -> None:
    deadline = time.monotonic() + PATIENCE_S
    last = health.Health(0, {})
    while time.monotonic() < deadline:
        family.tend(0.05)
        last = health.ask(address)
        if last.good:
            return
        for child in family.children:
            if child.deaths >= 3:
                raise Refused(f"{child.role.name} does not stay up. The end of {child.log}:\n{_tail(child.log)}")
    said = last.parts or f"HTTP status {last.status}" if last.status else "no answer"
    raise Refused(f"Not healthy after {PATIENCE_S:.0f} s: {said}. See {family.children[0].log.parent}")


def _tail(log: Path, lines: int = 15) -> str:
    with suppress(OSError):
        return "\n".join(log.read_text(encoding="utf-8", errors="replace").splitlines()[-lines:])
    return ""


def _greet(site: Site, folder: DataFolder, words: str) -> None:
    print(f"\nSixmark is up:  {site.address.base_url}/\nIts data:       {folder.path}")
    if site.certificate:
        _greet_tablets(site, site.certificate)
    if words.strip():
        print(f"\n{words.strip()}")
    print("\nCtrl-C ends it.", flush=True)


def _greet_tablets(site: Site, certificate: certificates.SiteCertificate) -> None:
    import qrcode

    page = f"http://{listening.written(site.address.name, site.trust_port)}/"
    picture = io.StringIO()
    code = qrcode.QRCode(border=2)
    code.add_data(page)
    code.print_ascii(out=picture, invert=True)
    print(f"\nFor each tablet, once:  {page}\n{picture.getvalue()}")
    print(f"The certificate's fingerprint there must read (SHA-256):\n{certificate.fingerprint}")


def _stay(family: Family, options: Options, folder: DataFolder) -> None:
    look = time.monotonic() + CERTIFICATE_LOOK_S
    renew: Callable[[], object] | None = partial(_certificate, options, folder) if options.lan else None
    while True:
        family.tend(1.0)
        if renew and time.monotonic() > look:
            renew()  # the server reads the file anew for each connection
            look = time.monotonic() + CERTIFICATE_LOOK_S


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
