"""All settings, in one file. What differs between a laptop and a server comes from the environment."""

from pathlib import Path

from csp.constants import NONE, SELF
from django.utils.translation import gettext_lazy as _

from club import environment

BASE_DIR = Path(__file__).resolve().parent.parent
DATA_DIR = environment.folder("SIXMARK_DATA", Path(environment.text("XDG_DATA_HOME", "~/.local/share")) / "sixmark")
DEBUG = environment.switch("SIXMARK_DEBUG")
SECRET_KEY = environment.secret("SIXMARK_SECRET_KEY", DATA_DIR / "secret-key")
ALLOWED_HOSTS = environment.words("SIXMARK_ALLOWED_HOSTS", "localhost,127.0.0.1,[::1]")
CSRF_TRUSTED_ORIGINS = environment.words("SIXMARK_TRUSTED_ORIGINS")
HTTPS = environment.switch("SIXMARK_HTTPS")
REDIS_URL = environment.text("SIXMARK_REDIS_URL")

INSTALLED_APPS = [
    "club",
    "drills",
    "athletes",
    "sessions.practices",
    "sessions.reps",
    "sessions.trends",
    "sessions.planning",
    "sessions.summaries",
    "sessions.station",
    "sessions.boards",
    "sessions.news",
    "sessions.feeds",
    "sessions.demo",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.forms",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "allauth",
    "allauth.account",
    "rest_framework",
    "drf_spectacular",
    "django_htmx",
    "csp",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "club.middleware.privacy_headers",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "club.middleware.language_by_person",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "allauth.account.middleware.AccountMiddleware",
]
ROOT_URLCONF = "club.urls"
WSGI_APPLICATION = "club.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.messages.context_processors.messages",
                "club.context.frame",
            ],
        },
    }
]
FORM_RENDERER = "club.look_forms.LookRenderer"

# --- rows ------------------------------------------------------------------------------------
DATABASES = {"default": environment.database("SIXMARK_DATABASE_URL", DATA_DIR / "sixmark.sqlite3")}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
# Rate limits hold only if every process counts in the same place.
CACHES = {
    "default": (
        {"BACKEND": "django.core.cache.backends.redis.RedisCache", "LOCATION": REDIS_URL}
        if REDIS_URL
        else {"BACKEND": "django.core.cache.backends.db.DatabaseCache", "LOCATION": "shared_cache"}
    )
}
MEDIA_ROOT = DATA_DIR / "media"
ERASURE_LEDGER = DATA_DIR / "erasures.jsonl"

# --- who may sign in -------------------------------------------------------------------------
AUTH_USER_MODEL = "club.Person"
AUTHENTICATION_BACKENDS = ["allauth.account.auth_backends.AuthenticationBackend"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in ("UserAttributeSimilarityValidator", "MinimumLengthValidator", "CommonPasswordValidator")
]
LOGIN_URL = "account_login"
LOGIN_REDIRECT_URL = "home"
LOGOUT_REDIRECT_URL = "account_login"
ACCOUNT_ADAPTER = "club.signin.ClosedAccountAdapter"
ACCOUNT_USER_MODEL_USERNAME_FIELD = "sign_in_name"
ACCOUNT_USER_MODEL_EMAIL_FIELD = "email"
ACCOUNT_LOGIN_METHODS = {"username"}
ACCOUNT_SIGNUP_FIELDS = ["username*", "password1*"]
ACCOUNT_EMAIL_VERIFICATION = "none"
ACCOUNT_SESSION_REMEMBER = True
ACCOUNT_LOGOUT_ON_GET = False
ACCOUNT_RATE_LIMITS = {"login": "30/m/ip", "login_failed": "10/m/ip,5/5m/key"}
SIGN_IN_LINK_HOURS = 72

# --- what the browser is told ----------------------------------------------------------------
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:"],
        "font-src": [SELF],
        "connect-src": [SELF],
        "media-src": [SELF],
        "worker-src": [SELF],
        "manifest-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
    }
}
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = HTTPS
SESSION_COOKIE_SAMESITE = CSRF_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_AGE = 60 * 60 * 24 * 14
SECURE_SSL_REDIRECT = HTTPS
# Days for which a browser refuses plain HTTP for this name. 0 with --lan, whose name may be another site's tomorrow.
HSTS_DAYS = environment.number("SIXMARK_HSTS_DAYS", 365)
SECURE_HSTS_SECONDS = 60 * 60 * 24 * HSTS_DAYS if HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = HTTPS and HSTS_DAYS >= 365
if environment.switch("SIXMARK_BEHIND_PROXY"):
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    ALLAUTH_TRUSTED_PROXY_COUNT = 1  # rate limits count the address that the proxy saw, not the proxy's own
DATA_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 4000  # the preview of a roster of 500: a tick and a few answers a row

STATIC_URL = "static/"
STATIC_ROOT = DATA_DIR / "static-built"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "club.static_files.ModuleStorage"},
}

# --- mail (club/mail/ alone sends; libraries find a backend that sends nothing) -------------------
EMAIL_BACKEND = "django.core.mail.backends.dummy.EmailBackend"
SITE_URL = environment.text("SIXMARK_URL", "http://localhost:8000").rstrip("/")
MAIL = environment.mail("SIXMARK_MAIL")

# --- words and clocks ------------------------------------------------------------------------
USE_I18N = USE_TZ = True
TIME_ZONE = "UTC"
LANGUAGE_CODE = "en"
LANGUAGES = [("en", _("English")), ("de", _("German"))]
LOCALE_BUILT = DATA_DIR / "locale-built"  # from club/locale, by club/translations.py
LOCALE_PATHS = [LOCALE_BUILT]

# --- the API ---------------------------------------------------------------------------------
REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": ["rest_framework.authentication.SessionAuthentication"],
    "DEFAULT_PERMISSION_CLASSES": ["club.one_door.OneDoor"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["rest_framework.parsers.JSONParser"],
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "DEFAULT_METADATA_CLASS": None,  # what a view takes stands in the OpenAPI text; OPTIONS answers 405
    "UNAUTHENTICATED_USER": "django.contrib.auth.models.AnonymousUser",
}
SPECTACULAR_SETTINGS = {"TITLE": "Sixmark", "VERSION": "1", "SERVE_INCLUDE_SCHEMA": False}

# --- work in the background ------------------------------------------------------------------
BROKER_DIR = DATA_DIR / "broker"
CELERY_BROKER_URL = REDIS_URL or "filesystem://"
CELERY_BROKER_TRANSPORT_OPTIONS = (
    {"visibility_timeout": 15, "unacked_restore_interval": 5, "socket_timeout": 5, "socket_connect_timeout": 2}
    if REDIS_URL
    else {
        "data_folder_in": str(BROKER_DIR),
        "data_folder_out": str(BROKER_DIR),
        "control_folder": str(BROKER_DIR / "control"),
        "polling_interval": 0.1,
    }
)
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_TASK_SERIALIZER = "json"
CELERY_ACCEPT_CONTENT = ["json"]
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_DEFAULT_QUEUE = "quick"
CELERY_WORKER_ENABLE_REMOTE_CONTROL = False
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_WORKER_HIJACK_ROOT_LOGGER = False
CELERY_TASK_PUBLISH_RETRY = False
CELERY_BEAT_SCHEDULE = {
    f"ring-{queue}": {
        "task": "club.tasks.drain_task",
        "schedule": 2.0,
        "args": [queue],
        "options": {"queue": queue, "expires": 4},
    }
    for queue in ("quick", "long")
}
CELERY_BEAT_SCHEDULE_FILENAME = str(DATA_DIR / "schedule")
