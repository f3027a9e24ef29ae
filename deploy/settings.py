"""Settings of one installation, chosen by environment variables; DEVELOPERS.md lists them."""

import os
import secrets
from pathlib import Path

import dj_database_url

from deploy.broker import SERVERLESS_BROKER, broker_options
from deploy.mail import mail_settings
from deploy.schema import SPECTACULAR_SETTINGS as SPECTACULAR_SETTINGS

BASE_DIR = Path(__file__).resolve().parent.parent
DATA_DIR = Path(os.environ.get("UNDERCART_DATA_DIR", BASE_DIR / "var" / "local"))
DATA_DIR.mkdir(parents=True, exist_ok=True)


def stored_secret_key() -> str:
    """Return this installation's own key, made on first use and kept beside its data."""
    path = DATA_DIR / "secret-key"
    try:
        with open(path, "x", opener=lambda name, flags: os.open(name, flags, 0o600)) as file:
            file.write(secrets.token_urlsafe(48))
    except FileExistsError:
        pass
    return path.read_text()


DEBUG = os.environ.get("UNDERCART_DEBUG") == "1"
SECRET_KEY = os.environ.get("UNDERCART_SECRET_KEY") or stored_secret_key()
PUBLIC_URL = os.environ.get("UNDERCART_PUBLIC_URL", "http://127.0.0.1:8000").rstrip("/")
ALLOWED_HOSTS = [name for name in os.environ.get("UNDERCART_HOSTS", "").split(",") if name] or [
    "127.0.0.1",
    "localhost",
    "[::1]",
]
USE_X_FORWARDED_HOST = False
SECURE_PROXY_SSL_HEADER = (
    ("HTTP_X_FORWARDED_PROTO", "https") if os.environ.get("UNDERCART_BEHIND_PROXY") == "1" else None
)
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
HTTPS = PUBLIC_URL.startswith("https://")
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = HTTPS
SESSION_ENGINE = "django.contrib.sessions.backends.signed_cookies"
SESSION_COOKIE_AGE = 12 * 3600
SESSION_COOKIE_HTTPONLY = True
DATA_UPLOAD_MAX_MEMORY_SIZE = 64 * 1024 * 1024

INSTALLED_APPS = [
    "django.contrib.staticfiles",
    "rest_framework",
    "drf_spectacular",
    "drf_spectacular_sidecar",
    "deploy",
    "fleet",
    "servicing",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
]
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {"context_processors": ["django.template.context_processors.request"]},
    }
]
ROOT_URLCONF = "deploy.urls"
WSGI_APPLICATION = "deploy.wsgi.application"

DATABASE_URL = os.environ.get("DATABASE_URL") or f"sqlite:///{DATA_DIR / 'undercart.sqlite3'}"
DATABASES = {"default": dj_database_url.parse(DATABASE_URL)}
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    # WAL and IMMEDIATE together are what keeps several writers from losing a lock race on SQLite.
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL; PRAGMA foreign_keys=ON; "
        # Without it REPLACE INTO would delete rows past the append-only guards.
        "PRAGMA recursive_triggers=ON;",
    }
else:
    DATABASES["default"]["OPTIONS"] = {"pool": {"min_size": 1, "max_size": 8}}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

CACHES = {
    "default": {
        "BACKEND": "django.core.cache.backends.redis.RedisCache",
        "LOCATION": os.environ["UNDERCART_REDIS_URL"],
    }
    if os.environ.get("UNDERCART_REDIS_URL")
    else {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}
}

LANGUAGE_CODE = "en"
USE_I18N = False
TIME_ZONE = "UTC"
USE_TZ = True

STATIC_URL = "/static/"
STATIC_ROOT = DATA_DIR / "static"
STATIC_ROOT.mkdir(exist_ok=True)
# Served from the packages that own the files, so that a fresh start needs no collecting step.
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = False

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": ["fleet.web.authentication.BearerToken"],
    "DEFAULT_PERMISSION_CLASSES": ["fleet.web.permissions.TokenAllows"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["rest_framework.parsers.JSONParser"],
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "EXCEPTION_HANDLER": "fleet.web.problems.answer_exception",
    "UNAUTHENTICATED_USER": None,
    "UNAUTHENTICATED_TOKEN": None,
    "URL_FORMAT_OVERRIDE": None,  # Accept alone chooses the media type
    "TEST_REQUEST_DEFAULT_FORMAT": "json",
}

MAIL_URL = os.environ.get("UNDERCART_MAIL", f"file://{DATA_DIR / 'mail'}")
DEFAULT_FROM_EMAIL = os.environ.get("UNDERCART_MAIL_FROM", "Undercart <undercart@localhost>")
globals().update(mail_settings(MAIL_URL))

CELERY_BROKER_URL = os.environ.get("UNDERCART_BROKER_URL") or SERVERLESS_BROKER
CELERY_BROKER_TRANSPORT_OPTIONS = broker_options(CELERY_BROKER_URL, DATA_DIR)
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_BROKER_CONNECTION_TIMEOUT = 2
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = True
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_WORKER_HIJACK_ROOT_LOGGER = False
CELERY_BEAT_SCHEDULE_FILENAME = str(DATA_DIR / "schedule")
CELERY_TIMEZONE = "UTC"
