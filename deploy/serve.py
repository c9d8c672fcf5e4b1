"""Starts the site and stays: prepares the data folder, starts web, workers and schedule, prints the address.

Run by deploy/up. It loads the site once and forks the processes from there; see deploy/processes.py.
"""

import io
import os
import sys
import time
from contextlib import suppress
from functools import partial
from pathlib import Path

from deploy import Refused, certificates, health, listening
from deploy.data_folder import DataFolder, Stamps, stamp_of_applied, stamp_of_files, write_json
from deploy.processes import Ended, Family, run_job, watch_signals
from deploy.roles import roles
from deploy.site import Options, Site, parse, private_certificate, site_of

PATIENCE_S = 60.0
CERTIFICATE_LOOK_S = 6 * 3600.0


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


def run(options: Options, folder: DataFolder) -> int:
    if folder.unfinished_restore.exists():
        raise Refused("A restore did not finish, so erased people may be back. Run deploy/restore again first.")
    folder.ensure_secret_key()
    site = site_of(options, folder)
    for host, port in site.places:
        listening.refuse_if_taken(host, port)
    _load(site.address)
    words = _prepare(folder, options, site.address)
    folder.empty_broker()
    running = folder.path / "running.json"
    family = Family(roles(site), folder.log_file, changed=partial(_record, running, site.address))
    try:
        family.start()
        _wait_until_well(family, site.address)
        _greet(site, folder, words)
        _stay(family, site, options, folder)
    except Ended:
        print("\nEnding ...", flush=True)
    finally:
        family.end()
        running.unlink(missing_ok=True)
    return 0


# --- the site, loaded once ------------------------------------------------------------------------


def _load(address: health.Address) -> None:
    os.environ["DJANGO_SETTINGS_MODULE"] = "club.settings"
    if address.authority is not None:
        os.environ["SIXMARK_HTTPS"] = "1"
        os.environ.setdefault("SIXMARK_HSTS_DAYS", "0")
    hosts = [word for word in os.environ.get("SIXMARK_ALLOWED_HOSTS", "").split(",") if word.strip()]
    if hosts or address.name not in {"localhost", "127.0.0.1", "::1"}:
        name = f"[{address.name}]" if ":" in address.name else address.name
        os.environ["SIXMARK_ALLOWED_HOSTS"] = ",".join(dict.fromkeys([*(hosts or ["localhost"]), name]))
    os.environ.setdefault("SIXMARK_URL", address.base_url)
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
    languages = stamp_of_files(["locale"])
    if not (stamps.fresh("locale", languages) and (folder.path / "locale-built").exists()):
        _command("build_locale")
        stamps.done("locale", languages)
    return _command("first_start", base_url=address.base_url, demo=options.demo, **options.for_first_start())


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


# --- from the first start of a process on ---------------------------------------------------------


def _record(file: Path, address: health.Address, pids: dict[str, int]) -> None:
    write_json(file, {"pid": os.getpid(), "url": address.base_url, "children": pids})


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
    if site.trust:
        _greet_tablets(site, site.trust)
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


def _stay(family: Family, site: Site, options: Options, folder: DataFolder) -> None:
    look = time.monotonic() + CERTIFICATE_LOOK_S
    while True:
        family.tend(1.0)
        if site.trust and time.monotonic() > look:
            private_certificate(options, folder)
            look = time.monotonic() + CERTIFICATE_LOOK_S


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
