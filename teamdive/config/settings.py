"""Django's settings: one file, decided by the environment alone (see environment.py)."""

import os
from pathlib import Path

from teamdive.config import environment

DATA = environment.data_folder()
CHECKOUT = Path(__file__).resolve().parents[2]
FRONTEND_DIST = Path(os.environ.get("TEAMDIVE_FRONTEND_DIST") or CHECKOUT / "frontend" / "dist")

DEBUG = environment.flag("TEAMDIVE_DEBUG")
SECRET_KEY = os.environ.get("TEAMDIVE_SECRET_KEY") or environment.secret(DATA, "secret_key")
HOST = os.environ.get("TEAMDIVE_HOST") or "localhost"
PORT = int(os.environ.get("TEAMDIVE_PORT") or 8000)
HTTPS = environment.flag("TEAMDIVE_HTTPS")
ALLOWED_HOSTS = [
    host
    for host in (os.environ.get("TEAMDIVE_ALLOWED_HOSTS") or "localhost,127.0.0.1,[::1]").split(",")
    if host
]
CSRF_TRUSTED_ORIGINS = [f"https://{host}" for host in ALLOWED_HOSTS if HTTPS]

INSTALLED_APPS = [
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "allauth",
    "allauth.account",
    "allauth.headless",
    "allauth.mfa",
    "axes",
    "csp",
    "rest_framework",
    "drf_spectacular",
    "rules.apps.AutodiscoverRulesConfig",
    "teamdive.web",
    "teamdive.people",
    "teamdive.logbook",
    "teamdive.trips",
    "teamdive.deck",
    "teamdive.reminders",
    "teamdive.config",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "csp.middleware.CSPMiddleware",
    "teamdive.web.static.PhoneFiles",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "allauth.account.middleware.AccountMiddleware",
    "axes.middleware.AxesMiddleware",
]

ROOT_URLCONF = "teamdive.config.urls"
WSGI_APPLICATION = "teamdive.config.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ]
        },
    }
]

DATABASES = {"default": environment.database(DATA)}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "people.User"
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "rules.permissions.ObjectPermissionBackend",
    "allauth.account.auth_backends.AuthenticationBackend",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in ("MinimumLengthValidator", "CommonPasswordValidator", "NumericPasswordValidator")
]
ACCOUNT_LOGIN_METHODS = {"email"}
ACCOUNT_SIGNUP_FIELDS = ["email*", "password1*"]
ACCOUNT_USER_MODEL_USERNAME_FIELD = None
ACCOUNT_EMAIL_VERIFICATION = "none"
# Members are added by their club: a stranger cannot make an account.
ACCOUNT_ADAPTER = "teamdive.web.accounts.MembersOnly"
HEADLESS_ONLY = True
HEADLESS_CLIENTS = ("browser",)
HEADLESS_FRONTEND_URLS = {
    "account_confirm_email": "/#/confirm/{key}",
    "account_reset_password": "/#/forgotten",
    "account_reset_password_from_key": "/#/forgotten/{key}",
    "account_signup": "/#/sign-in",
}
AXES_FAILURE_LIMIT = 8
AXES_COOLOFF_TIME = 0.25
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_USERNAME_FORM_FIELD = "email"
# Mail goes to those ashore, who have no account. Without a server none is sent, and each call says so.
MAIL = environment.mail()
MAIL_SET_UP = MAIL is not None
MAIL_FROM = DEFAULT_FROM_EMAIL = os.environ.get("TEAMDIVE_MAIL_FROM") or "teamdive@localhost"
EMAIL_BACKEND = f"django.core.mail.backends.{'smtp' if MAIL_SET_UP else 'console'}.EmailBackend"
if MAIL is not None:
    EMAIL_HOST, EMAIL_PORT = MAIL.host, MAIL.port
    EMAIL_HOST_USER, EMAIL_HOST_PASSWORD = MAIL.user, MAIL.password
    EMAIL_USE_SSL, EMAIL_USE_TLS = MAIL.tls, MAIL.starttls
    # Well within the lease of a reminder: a server that hangs must not hold up the other calls.
    EMAIL_TIMEOUT = 4
ADDRESS = (os.environ.get("TEAMDIVE_ADDRESS") or f"http{'s' if HTTPS else ''}://{HOST}:{PORT}").rstrip("/")

SESSION_COOKIE_AGE = 60 * 60 * 24 * 60
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = HTTPS
SESSION_COOKIE_SAMESITE = CSRF_COOKIE_SAMESITE = "Lax"
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if HTTPS else None
SECURE_REFERRER_POLICY = "same-origin"
CONTENT_SECURITY_POLICY = {
    "EXCLUDE_URL_PREFIXES": ("/admin/",),
    "DIRECTIVES": {
        "default-src": ["'self'"],
        "img-src": ["'self'", "data:", "blob:"],
        "style-src": ["'self'", "'unsafe-inline'"],
        "object-src": ["'none'"],
        "base-uri": ["'none'"],
        "frame-ancestors": ["'none'"],
    },
}

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": ["rest_framework.authentication.SessionAuthentication"],
    "DEFAULT_PERMISSION_CLASSES": ["teamdive.web.permissions.Permit"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["teamdive.web.parsers.StrictJSON"],
    "EXCEPTION_HANDLER": "teamdive.web.problems.handle",
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "DEFAULT_THROTTLE_RATES": {"calculations": "120/min", "joining": "20/min"},
    "UNAUTHENTICATED_USER": "django.contrib.auth.models.AnonymousUser",
}
SPECTACULAR_SETTINGS = {
    "TITLE": "teamdive",
    "VERSION": "0.1.0",
    "DESCRIPTION": "Plan, pair, run and record a dive trip.",
    "SERVE_PERMISSIONS": ["rest_framework.permissions.AllowAny"],
    "SERVE_AUTHENTICATION": [],
}
DATA_UPLOAD_MAX_MEMORY_SIZE = 8 * 1024 * 1024

LANGUAGE_CODE = "en-gb"
USE_I18N = False
USE_TZ = True
TIME_ZONE = "UTC"

STATIC_URL = "/static/"
STATIC_ROOT = None
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = DEBUG

CACHES = (
    {"default": {"BACKEND": "django.core.cache.backends.redis.RedisCache", "LOCATION": url}}
    if (url := os.environ.get("TEAMDIVE_REDIS_URL"))
    else {
        "default": {
            "BACKEND": "django.core.cache.backends.filebased.FileBasedCache",
            "LOCATION": DATA / "cache",
        }
    }
)

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "%(asctime)s %(levelname)s %(name)s: %(message)s"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": os.environ.get("TEAMDIVE_LOG_LEVEL", "WARNING")},
}
