"""One settings file, read from the environment; defaults suit a laptop."""

import os
from pathlib import Path

import dj_database_url
from django.core.exceptions import ImproperlyConfigured

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
ROOT_URLCONF = "portal.urls"
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

DATA_UPLOAD_MAX_MEMORY_SIZE = 4 * 1024 * 1024

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
    ],
}

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "handlers": {"console": {"class": "logging.StreamHandler"}},
    # A refused request is the sender's matter, not an event of ours.
    "loggers": {"django.request": {"level": "ERROR"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
}
