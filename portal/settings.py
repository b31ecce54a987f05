"""One settings file, read from the environment; defaults suit a laptop."""

import os
from pathlib import Path

import dj_database_url
from django.core.exceptions import ImproperlyConfigured

from portal.records.doi import checked_doi

BASE_DIR = Path(__file__).resolve().parent.parent
VERSION = "0.1.0"

DEBUG = os.environ.get("DRILOSPHERE_DEBUG", "0") == "1"
PRODUCTION = os.environ.get("DRILOSPHERE_PRODUCTION", "0") == "1"
SECRET_KEY = os.environ.get("DRILOSPHERE_SECRET_KEY", "")
if not SECRET_KEY:
    if PRODUCTION:
        _MSG = "Set DRILOSPHERE_SECRET_KEY to a long random text in production."
        raise ImproperlyConfigured(_MSG)
    SECRET_KEY = "local-use-only-" + "drilosphere" * 5
# Keys of before, commas between them: what they signed (links, cursors) stays good, nothing is
# signed with them. Take them out once the longest of the links that they signed has ended.
SECRET_KEY_FALLBACKS = [
    key for key in os.environ.get("DRILOSPHERE_OLD_SECRET_KEYS", "").split(",") if key
]
ALLOWED_HOSTS = os.environ.get(
    "DRILOSPHERE_ALLOWED_HOSTS", "localhost,127.0.0.1,[::1],testserver"
).split(",")

# Every link in an answer is built from this, never from the Host header.
PUBLIC_URL = os.environ.get("DRILOSPHERE_PUBLIC_URL", "http://localhost:8000").rstrip("/")
DATASET = {
    "name": os.environ.get("DRILOSPHERE_DATASET_TITLE", "Soil animals of paired pits"),
    "rights_holder": os.environ.get("DRILOSPHERE_RIGHTS_HOLDER", "Example Soil Survey Consortium"),
    "contact": os.environ.get("DRILOSPHERE_CONTACT", "data@example.org"),
    "code": os.environ.get("DRILOSPHERE_PUBLISHER_CODE", "ESSC"),
    "country_code": os.environ.get("DRILOSPHERE_COUNTRY_CODE", ""),
    "country_box": os.environ.get("DRILOSPHERE_COUNTRY_BOX", ""),  # west,south,east,north
    "region": os.environ.get("DRILOSPHERE_REGION", ""),
    "notice": os.environ.get("DRILOSPHERE_NOTICE", ""),
}
RELEASE_LICENCE = "CC-BY-4.0"
# Generation of the Darwin Core terms that archives use; see portal/archive/profiles.py.
DWC_PROFILE = os.environ.get("DRILOSPHERE_DWC_PROFILE", "2023-09")
if DWC_PROFILE not in {"2023-09", "2026-05"}:
    _MSG = f"DRILOSPHERE_DWC_PROFILE must be 2023-09 or 2026-05, not {DWC_PROFILE!r}."
    raise ImproperlyConfigured(_MSG)
# The Darwin Core data package is experimental: its table schemas are still under review.
DATA_PACKAGE = os.environ.get("DRILOSPHERE_DATA_PACKAGE", "0") == "1"
DATASET_DOI = os.environ.get("DRILOSPHERE_DATASET_DOI", "")
if DATASET_DOI:
    checked_doi(DATASET_DOI)

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.staticfiles",
    "rest_framework",
    "django_filters",
    "drf_spectacular",
    "drf_spectacular_sidecar",
    "surveys.apps.SurveysConfig",
    "portal.apps.PortalConfig",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "api.middleware.RequestMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
]
APPEND_SLASH = False
CSRF_FAILURE_VIEW = "api.errors.form_refused"
# "public" serves what everybody may read and nothing else, as a process of its own whose database
# role has no right to private tables; see `manage.py grantreader`.
FACES = os.environ.get("DRILOSPHERE_FACES", "all")
if FACES not in {"all", "public"}:
    _MSG = f"DRILOSPHERE_FACES must be all or public, not {FACES!r}."
    raise ImproperlyConfigured(_MSG)
ROOT_URLCONF = "portal.urls"
if FACES == "public":
    ROOT_URLCONF = "portal.public_urls"
    MIDDLEWARE.append("api.read_only.ReadOnlyMiddleware")
WSGI_APPLICATION = "portal.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "portal" / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": ["django.template.context_processors.request"],
        },
    },
]

DATABASES = {
    "default": dj_database_url.config(
        default=f"sqlite:///{BASE_DIR / 'drilosphere.sqlite3'}", conn_max_age=60
    ),
}
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL;",
    }
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

LANGUAGE_CODE = "en"
USE_I18N = True
USE_TZ = True
TIME_ZONE = "UTC"

STATIC_URL = "static/"
STATIC_ROOT = os.environ.get("DRILOSPHERE_STATIC_ROOT")  # set where collectstatic is run
STATICFILES_DIRS = [BASE_DIR / "portal" / "static"]
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = DEBUG
MEDIA_ROOT = Path(os.environ.get("DRILOSPHERE_FILES_DIR", BASE_DIR / "drilosphere-files"))
# Photos; must lie apart from every public folder.
PRIVATE_FILES_DIR = Path(
    os.environ.get("DRILOSPHERE_PRIVATE_DIR", BASE_DIR / "drilosphere-private")
)

DATA_UPLOAD_MAX_MEMORY_SIZE = 4 * 1024 * 1024
# A file of many visits goes to the disk piece by piece; it is kept some time for its error table.
UPLOAD_MAX_BYTES = int(os.environ.get("DRILOSPHERE_UPLOAD_MAX_BYTES", str(1024**3)))
UPLOAD_KEEP_DAYS = int(os.environ.get("DRILOSPHERE_UPLOAD_KEEP_DAYS", "30"))

SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
if PRODUCTION:
    SECURE_SSL_REDIRECT = True
    SECURE_HSTS_SECONDS = 31_536_000
    SECURE_HSTS_INCLUDE_SUBDOMAINS = True
    SECURE_HSTS_PRELOAD = True
    SESSION_COOKIE_SECURE = True
    CSRF_COOKIE_SECURE = True
    if os.environ.get("DRILOSPHERE_BEHIND_TLS_PROXY", "0") == "1":
        SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")

# How many proxies of ours stand in front: the client address is read that far from the right.
PROXY_DEPTH = int(os.environ.get("DRILOSPHERE_PROXY_DEPTH", "0"))
OPEN_REQUESTS_PER_MINUTE = int(os.environ.get("DRILOSPHERE_OPEN_REQUESTS_PER_MINUTE", "600"))
PARTNER_REQUESTS_PER_MINUTE = int(os.environ.get("DRILOSPHERE_PARTNER_REQUESTS_PER_MINUTE", "120"))
# Origins whose web pages may call the partner face, separated by commas.
PARTNER_ORIGINS = frozenset(
    filter(None, os.environ.get("DRILOSPHERE_PARTNER_ORIGINS", "").replace(" ", "").split(","))
)
HARVESTER_REGISTRATIONS_PER_HOUR = int(
    os.environ.get("DRILOSPHERE_HARVESTER_REGISTRATIONS_PER_HOUR", "5")  # from one address
)
# A reader of all rows of a query: the longest time for the whole, and without taking any row.
STREAM_SECONDS = int(os.environ.get("DRILOSPHERE_STREAM_SECONDS", "3600"))
STREAM_IDLE_SECONDS = int(os.environ.get("DRILOSPHERE_STREAM_IDLE_SECONDS", "60"))
# Freezing a query, or checking a frozen one, reads all of its rows.
SNAPSHOT_SECONDS = int(os.environ.get("DRILOSPHERE_SNAPSHOT_SECONDS", "900"))
SNAPSHOTS_PER_HOUR = int(
    os.environ.get("DRILOSPHERE_SNAPSHOTS_PER_HOUR", "20")  # from one address, checks included
)
# An interval as ISO 8601 writes it, such as 2027-01-05T20:00Z/2027-01-05T22:00Z.
PLANNED_DOWNTIME = os.environ.get("DRILOSPHERE_PLANNED_DOWNTIME", "")
OAI_PAGE_SIZE = int(os.environ.get("DRILOSPHERE_OAI_PAGE_SIZE", "20"))  # records
# Ages in whole years. Under age, guardian and child both answer; a child too young to agree online
# by itself (GDPR, article 8) answers on paper or aloud.
AGE_OF_MAJORITY = int(os.environ.get("DRILOSPHERE_AGE_OF_MAJORITY", "18"))
AGE_OF_ONLINE_CONSENT = int(os.environ.get("DRILOSPHERE_AGE_OF_ONLINE_CONSENT", "16"))
REVIEW_CLAIM_MINUTES = int(os.environ.get("DRILOSPHERE_REVIEW_CLAIM_MINUTES", "30"))
# Share of visits that get a blind second look, 0 to 1; it needs three reviewers.
SECOND_LOOK_SHARE = float(os.environ.get("DRILOSPHERE_SECOND_LOOK_SHARE", "0"))
# What becomes of the science of a person who asks to be erased: "unlink" keeps pits and counts
# with nothing that leads to the person, "remove" removes them too.
ERASURE = os.environ.get("DRILOSPHERE_ERASURE", "unlink")
if ERASURE not in {"unlink", "remove"}:
    _MSG = f"DRILOSPHERE_ERASURE must be unlink or remove, not {ERASURE!r}."
    raise ImproperlyConfigured(_MSG)
PERSONAL_LINK_DAYS = int(os.environ.get("DRILOSPHERE_PERSONAL_LINK_DAYS", "7"))

REST_FRAMEWORK = {
    # Nothing is open unless its view says so.
    "DEFAULT_AUTHENTICATION_CLASSES": [],
    "DEFAULT_PERMISSION_CLASSES": ["api.permissions.NobodyUnlessStated"],
    "DEFAULT_PARSER_CLASSES": ["api.parsing.StrictJSONParser"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "EXCEPTION_HANDLER": "api.errors.problem_response",
    "UNAUTHENTICATED_USER": None,
    "COERCE_DECIMAL_TO_STRING": False,
    "NUM_PROXIES": PROXY_DEPTH,
    "URL_FORMAT_OVERRIDE": None,
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Drilosphere",
    "VERSION": VERSION,
    "OAS_VERSION": "3.1.1",
    "DESCRIPTION": "Records of soil animals from paired pits: submit, review, read, harvest.",
    "LICENSE": {"name": "Apache-2.0 (code); data licence in every answer"},
    "SERVE_INCLUDE_SCHEMA": False,
    "COMPONENT_SPLIT_REQUEST": False,
    "SWAGGER_UI_DIST": "SIDECAR",
    "SWAGGER_UI_FAVICON_HREF": "SIDECAR",
    "SERVE_PERMISSIONS": ["rest_framework.permissions.AllowAny"],
    "POSTPROCESSING_HOOKS": [
        "drf_spectacular.hooks.postprocess_schema_enums",
        "api.schema.share_schemas",
        "api.schema.choices_as_enums",
    ],
}

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "filters": {
        "links": {"()": "portal.personal.masking.HideLinks"},
        "words": {"()": "api.logs.HideWords"},
    },
    "formatters": {
        "server": {
            "()": "django.utils.log.ServerFormatter",
            "format": "[{server_time}] {message}",
            "style": "{",
        },
    },
    "handlers": {
        "console": {"class": "logging.StreamHandler", "filters": ["links", "words"]},
        "server": {
            "class": "logging.StreamHandler",
            "filters": ["links", "words"],
            "formatter": "server",
        },
    },
    "loggers": {
        # A refused request is the sender's matter, not an event of ours.
        "django.request": {"level": "ERROR"},
        "django.server": {"handlers": ["server"], "level": "INFO", "propagate": False},
    },
    "root": {"handlers": ["console"], "level": "WARNING"},
}
