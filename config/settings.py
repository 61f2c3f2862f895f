"""Settings. The embedded database and local files by default; the environment overrides."""

import os
from pathlib import Path

import dj_database_url
from django.core.exceptions import ImproperlyConfigured

from config.secret import secret_key

BASE_DIR = Path(__file__).resolve().parent.parent
DATA_DIR = Path(os.environ.get("JOBBOOK_DATA_DIR", BASE_DIR / ".data"))

SECRET_KEY = os.environ.get("JOBBOOK_SECRET_KEY") or secret_key(DATA_DIR)
DEBUG = os.environ.get("JOBBOOK_DEBUG") == "1"
# Made-up papers may lead to this machine; real ones carry their address for good.
DEMO = DEBUG or os.environ.get("JOBBOOK_DEMO") == "1"
ALLOWED_HOSTS = [
    host for host in map(str.strip, os.environ.get("JOBBOOK_HOSTS", "127.0.0.1,localhost").split(",")) if host
]

INSTALLED_APPS = [
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django.forms",
    "crispy_forms",
    "crispy_bootstrap5",
    "django_htmx",
    "vehicles",
    "jobs",
    "testing",
    "certificates",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "config.middleware.ContentSecurityPolicy",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "config.middleware.KeptByNoBrowser",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "jobs.middleware.ReadableAddresses",
    "jobs.middleware.ClosedFiles",
]

ROOT_URLCONF = "config.urls"
WSGI_APPLICATION = "config.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
        },
    },
]
FORM_RENDERER = "django.forms.renderers.TemplatesSetting"
CRISPY_ALLOWED_TEMPLATE_PACKS = "bootstrap5"
CRISPY_TEMPLATE_PACK = "bootstrap5"
# A template that names a missing variable of a form must fail in tests, not print nothing.
CRISPY_FAIL_SILENTLY = False

DATABASES = {
    "default": dj_database_url.parse(
        os.environ.get("DATABASE_URL") or f"sqlite:///{DATA_DIR / 'job-book.sqlite3'}",
        conn_max_age=60,
        conn_health_checks=True,
    )
}
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    # Writers queue instead of failing: the lock is taken at BEGIN, readers go on beside it.
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL;",
    }
    # A file, not memory: the browser tests reach it from the server's thread.
    DATABASES["default"]["TEST"] = {"NAME": DATA_DIR / "test.sqlite3"}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "jobs.User"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in (
        "UserAttributeSimilarityValidator",
        "MinimumLengthValidator",
        "CommonPasswordValidator",
        "NumericPasswordValidator",
    )
]
LOGIN_URL = "login"
LOGIN_REDIRECT_URL = "home"
LOGOUT_REDIRECT_URL = "login"

LANGUAGE_CODE = "en-au"
TIME_ZONE = os.environ.get("JOBBOOK_TIME_ZONE", "Australia/Sydney")
USE_I18N = True
USE_TZ = True
FORMAT_MODULE_PATH = "config.formats"

STATIC_URL = "static/"
STATIC_ROOT = DATA_DIR / "static"
STATICFILES_DIRS = [BASE_DIR / "config" / "static"]
# Whoever else has an account on this machine reads neither the database nor a file.
DATA_DIR.mkdir(parents=True, exist_ok=True, mode=0o700)
STATIC_ROOT.mkdir(exist_ok=True)
WHITENOISE_USE_FINDERS = True
MEDIA_ROOT = DATA_DIR / "files"
# No view answers here: files go out through views that ask who is asking.
MEDIA_URL = "no-file-has-an-address/"
STORAGES = {
    "default": {"BACKEND": os.environ.get("JOBBOOK_STORAGE", "django.core.files.storage.FileSystemStorage")},
    "staticfiles": {"BACKEND": "whitenoise.storage.CompressedStaticFilesStorage"},
}
FILE_UPLOAD_PERMISSIONS = 0o600
FILE_UPLOAD_HANDLERS = [
    "vehicles.upload_handlers.UpToLargest",
    "django.core.files.uploadhandler.MemoryFileUploadHandler",
    "django.core.files.uploadhandler.TemporaryFileUploadHandler",
]

# Without a mail server letters are printed, and say so; with its name they leave the house.
EMAIL_HOST = os.environ.get("JOBBOOK_EMAIL_HOST", "")
EMAIL_BACKEND = os.environ.get("JOBBOOK_EMAIL_BACKEND") or (
    f"django.core.mail.backends.{'smtp' if EMAIL_HOST else 'console'}.EmailBackend"
)
# How the connection is secured: starttls (usually port 587), tls (usually 465) or none.
EMAIL_SECURITY = os.environ.get("JOBBOOK_EMAIL_SECURITY", "starttls")
if EMAIL_SECURITY not in ("starttls", "tls", "none"):
    raise ImproperlyConfigured(f"JOBBOOK_EMAIL_SECURITY is “{EMAIL_SECURITY}”. Allowed: starttls, tls, none.")
EMAIL_USE_TLS, EMAIL_USE_SSL = EMAIL_SECURITY == "starttls", EMAIL_SECURITY == "tls"
EMAIL_PORT = int(os.environ.get("JOBBOOK_EMAIL_PORT") or {"starttls": 587, "tls": 465, "none": 25}[EMAIL_SECURITY])
EMAIL_HOST_USER = os.environ.get("JOBBOOK_EMAIL_USER", "")
EMAIL_HOST_PASSWORD = os.environ.get("JOBBOOK_EMAIL_PASSWORD", "")
# A mail server that does not answer must not hold up whoever waits for a page.
EMAIL_TIMEOUT = float(os.environ.get("JOBBOOK_EMAIL_TIMEOUT_S", "10"))
DEFAULT_FROM_EMAIL = os.environ.get("JOBBOOK_FROM_EMAIL", "job-book@localhost")

# Off unless an address is set: hourly JSON of a forecast service, with {latitude} and {longitude} in the address.
FORECAST_URL = os.environ.get("JOBBOOK_FORECAST_URL", "")
FORECAST_TIMEOUT_S = float(os.environ.get("JOBBOOK_FORECAST_TIMEOUT_S", "10"))

# A time-stamping authority (RFC 3161) that says when a certificate was signed; none is asked while this is empty.
TIME_STAMP_URL = os.environ.get("JOBBOOK_TIME_STAMP_URL", "")
TIME_STAMP_TIMEOUT_S = float(os.environ.get("JOBBOOK_TIME_STAMP_TIMEOUT_S", "10"))

# Behind HTTPS (any real installation) the cookies travel only there.
HTTPS = os.environ.get("JOBBOOK_HTTPS") == "1"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE_SSL_REDIRECT = HTTPS
# For a year, browsers ask for this host by HTTPS alone. What holds for the hosts below it as well, or is to be written
# into the browsers themselves, binds others than this site and is hardly taken back: the installation says so.
HSTS = os.environ.get("JOBBOOK_HSTS") or "host"
if HSTS not in ("host", "subdomains", "preload"):
    raise ImproperlyConfigured(f"JOBBOOK_HSTS is “{HSTS}”. Allowed: host, subdomains, preload.")
SECURE_HSTS_SECONDS = 31_536_000 if HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = HTTPS and HSTS in ("subdomains", "preload")
SECURE_HSTS_PRELOAD = HTTPS and HSTS == "preload"
# The deploy check asks for both, whoever else lives under the name of the house.
SILENCED_SYSTEM_CHECKS = ["security.W005", "security.W021"]
if HTTPS:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
SESSION_COOKIE_HTTPONLY = True
# A working day with an early test morning in it, and no evening at a counter that others stand at.
SESSION_COOKIE_AGE = 14 * 60 * 60
CSRF_FAILURE_VIEW = "jobs.views.old_page.old_page"
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "handlers": {"console": {"class": "logging.StreamHandler"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
}
