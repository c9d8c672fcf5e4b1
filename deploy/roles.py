"""The processes of a running site: web, schedule, the two workers, and with --lan the page that explains trust."""

import sys
from functools import partial

from deploy import listening
from deploy.processes import Role
from deploy.site import Site


def roles(site: Site) -> tuple[Role, ...]:
    needed = [
        Role("web", partial(_web, site)),
        Role("schedule", _schedule),
        Role("quick", partial(_worker, "quick"), nice=5),  # whoever waits for an answer goes first
        Role("long", partial(_worker, "long"), nice=10),
    ]
    if site.trust is not None:
        needed.append(Role("trust-page", partial(_trust_page, site)))
    return tuple(needed)


def _web(site: Site) -> None:
    from gunicorn.app.wsgiapp import WSGIApplication

    options = ["--worker-class=gthread", "--workers=2", "--threads=8", "--graceful-timeout=5", "--timeout=60"]
    options += ["--preload", "--no-control-socket", "--log-level=warning", "--keep-alive=15"]
    options += [f"--bind={listening.written(host, site.address.port)}" for host in site.hosts]
    # Only a proxy that the person has named may say that a request came over https.
    options.append(f"--forwarded-allow-ips={'127.0.0.1,::1' if site.address.behind_proxy else ''}")
    if site.certificate is not None:
        options += [f"--certfile={site.certificate.chain}", f"--keyfile={site.certificate.key}"]
    # A thread that holds the database's one turn must not wait 5 ms for Python's lock after each statement.
    sys.setswitchinterval(0.0005)
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

    if site.trust is None:
        raise ValueError("the trust page belongs to a private certificate")
    trust = trust_page.Trust(site.address.base_url, site.trust.authority, site.trust.fingerprint)
    trust_page.serve(trust, site.hosts[0], site.trust_port)
