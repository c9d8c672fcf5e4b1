"""The site's own settings on a private folder, with what only tests want: fast hashing, plain static files."""

import os
import tempfile

os.environ.setdefault("SIXMARK_DATA", tempfile.mkdtemp(prefix="sixmark-tests-"))
os.environ.setdefault("SIXMARK_SECRET_KEY", "for-tests-only-" + "x" * 40)

from club.settings import *  # noqa: E402, F403
from club.settings import DATA_DIR, DATABASES, LOCALE_BUILT, STATIC_ROOT, STORAGES  # noqa: E402
from club.translations import build as build_languages  # noqa: E402

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
STORAGES = {**STORAGES, "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}}
build_languages(LOCALE_BUILT)
STATIC_ROOT.mkdir(parents=True, exist_ok=True)  # the server of static files warns of a missing folder
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):  # a file: threads that race must lock as processes do
    DATABASES["default"]["TEST"] = {"NAME": str(DATA_DIR / "test.sqlite3")}
ALLOWED_HOSTS = ["testserver", "localhost", "127.0.0.1"]
# A ring in a test reaches nobody: tests drain the queues themselves, or start real workers.
CELERY_BROKER_URL = "memory://"
CELERY_BROKER_TRANSPORT_OPTIONS: dict[str, object] = {}
