"""Law 8: no page loads anything from another host, and none needs inline script or style."""

import os
import re
import subprocess
import sys

import pytest
from django.conf import settings

from tests.laws.source import APPS, ROOT, scripts, templates

INLINE = re.compile(
    r"<style|\sstyle=|\son[a-z]+=[\"']|javascript:|<script(?![^>]*\ssrc=)(?![^>]*application/json)", re.I
)
REMOTE = re.compile(r"(?:src|href|action|url\(|import|fetch\()\s*=?\s*[\"'(]?\s*(?:https?:)?//", re.I)


@pytest.mark.parametrize("path", templates(), ids=lambda path: "/".join(path.parts[-3:]))
def test_a_template_has_no_inline_script_or_style_and_names_no_host(path) -> None:
    text = path.read_text(encoding="utf-8")
    assert INLINE.search(text) is None
    assert REMOTE.search(text) is None


def test_no_stylesheet_or_script_names_another_host() -> None:
    sheets = [path for app in APPS for path in (ROOT / app).rglob("static/**/*.css")]
    assert [str(path) for path in [*sheets, *scripts()] if REMOTE.search(path.read_text(encoding="utf-8"))] == []


def test_the_policy_allows_nothing_but_our_own_files() -> None:
    directives = settings.CONTENT_SECURITY_POLICY["DIRECTIVES"]
    needed = {"default-src", "script-src", "style-src", "worker-src", "manifest-src", "frame-ancestors"}
    assert needed <= set(directives)
    assert {source for sources in directives.values() for source in sources} <= {"'self'", "'none'", "data:"}
    assert directives["script-src"] == directives["style-src"] == ["'self'"]


def test_the_admin_is_not_installed() -> None:
    assert "django.contrib.admin" not in settings.INSTALLED_APPS


def test_check_deploy_has_no_warning(tmp_path) -> None:
    """On the settings as a server has them: nothing is set here but what its environment sets."""
    environment = {"PATH": os.environ["PATH"], "SIXMARK_DATA": str(tmp_path), "SIXMARK_HTTPS": "1"}
    environment |= {"SIXMARK_SECRET_KEY": "a key of fifty characters or more, for this test only 0123456789"}
    environment |= {"SIXMARK_ALLOWED_HOSTS": "vault.example"}
    command = [sys.executable, "manage.py", "check", "--deploy", "--fail-level", "WARNING"]
    done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


@pytest.mark.django_db
def test_the_headers_are_on_the_sign_in_page(client) -> None:
    response = client.get("/sign-in/")
    assert "frame-ancestors 'none'" in response["Content-Security-Policy"]
    assert response["X-Content-Type-Options"] == "nosniff" and response["Referrer-Policy"] == "same-origin"
    assert "camera=()" in response["Permissions-Policy"] and "no-store" in response["Cache-Control"]
