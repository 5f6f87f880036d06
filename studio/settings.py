"""Settings, one file. Sections keep this order: mode, secrets and addresses, apps, middleware, urls and templates,
databases, cache, sign-in, files, e-mail, background work, API, security, limits, logs, observability.

Development starts with no environment at all: SQLite, a broker that needs no server, letters printed to the console.
`OVERMANTEL_ENV=production` refuses to start without its secrets and addresses; `.env.example` lists every variable.
"""

from pathlib import Path
from typing import Any

from celery.schedules import crontab
from redis.backoff import NoBackoff
from redis.retry import Retry

from . import env

# --- Mode -------------------------------------------------------------------------------------------------------------

BASE_DIR = Path(__file__).resolve().parent.parent
PRODUCTION = env.choice("OVERMANTEL_ENV", ("development", "production"), "development") == "production"
DEBUG = env.flag("DEBUG", default=False) and not PRODUCTION
#: Everything that the running site writes, apart from a database server's own files.
VAR_DIR = env.folder("VAR_DIR", BASE_DIR / "var")
VAR_DIR.mkdir(parents=True, exist_ok=True)

# --- Secrets and addresses --------------------------------------------------------------------------------------------

SECRET_KEY = env.secret(
    "SECRET_KEY",
    None if PRODUCTION else "development-only-0123456789-abcdefghijklmnopqrstuvwxyz-not-secret",
    shortest=50,
)
SECRET_KEY_FALLBACKS = env.listed("SECRET_KEY_FALLBACKS")
#: Where people reach the site: links in letters and on sheets start with it.
PORT = env.integer("PORT", 8000, low=1, high=65535)
BASE_URL = env.origin("BASE_URL", None if PRODUCTION else f"http://127.0.0.1:{PORT}")
HOST = BASE_URL.partition("://")[2].rpartition(":")[0] or BASE_URL.partition("://")[2]
ALLOWED_HOSTS = [
    *env.listed("ALLOWED_HOSTS", [HOST] if PRODUCTION else ["localhost", "[::1]"]),
    "127.0.0.1",  # health probes from the machine itself
]
CSRF_TRUSTED_ORIGINS = [BASE_URL]
#: How many reverse proxies stand in front and append to X-Forwarded-For.
TRUSTED_PROXIES = env.integer("TRUSTED_PROXIES", 0, low=0, high=10)

# --- Apps -------------------------------------------------------------------------------------------------------------

INSTALLED_APPS = [
    "studio.apps.StudioConfig",
    "placements",
    "reports",
    "studio.apps.OfficeConfig",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.humanize",
    "django.contrib.messages",
    "django.contrib.sessions",
    "whitenoise.runserver_nostatic",
    "studio.storage.CollectedFiles",
    "allauth",
    "allauth.account",
    "allauth.mfa",
    "allauth.usersessions",
    "axes",
    "django_filters",
    "django_htmx",
    "django_prometheus",
    "drf_spectacular",
    "easy_thumbnails",
    "rest_framework",
    "simple_history",
]
AUTH_USER_MODEL = "studio.User"
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

# --- Middleware -------------------------------------------------------------------------------------------------------

MIDDLEWARE = [
    "django_prometheus.middleware.PrometheusBeforeMiddleware",
    "studio.middleware.RequestId",
    "django.middleware.security.SecurityMiddleware",
    "studio.middleware.SecurityHeaders",
    "studio.middleware.BodyLimit",
    "studio.middleware.PlainCookies",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "allauth.account.middleware.AccountMiddleware",
    "studio.signin.RequireSecondFactor",
    "studio.middleware.ReaderClock",
    "django_htmx.middleware.HtmxMiddleware",
    "simple_history.middleware.HistoryRequestMiddleware",
    "studio.problems.ServiceErrorMiddleware",
    "axes.middleware.AxesMiddleware",
    "django_prometheus.middleware.PrometheusAfterMiddleware",
]

# --- Urls and templates -----------------------------------------------------------------------------------------------

ROOT_URLCONF = "studio.urls"
WSGI_APPLICATION = "studio.wsgi.application"
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
                "placements.context_processors.masthead",
            ],
        },
    },
]
LANGUAGE_CODE = "en-us"
TIME_ZONE = "UTC"
USE_TZ = True
USE_I18N = False

# --- Databases --------------------------------------------------------------------------------------------------------

DATABASES = {"default": env.database("DATABASE_URL", VAR_DIR / "overmantel.sqlite3")}

# --- Cache ------------------------------------------------------------------------------------------------------------

#: One Redis carries the queues (database 0), the cache that rate limits count in (database 1), and what the engine
#: answered (database 2), which is kept for some hours beside them.
REDIS_URL = env.redis_url("REDIS_URL", None if PRODUCTION else "")
# A cache that is down must cost a request little: one try, one second.
_ONE_TRY = {"socket_connect_timeout": 1, "socket_timeout": 1, "retry": Retry(NoBackoff(), 0)}
CACHES = (
    {
        "default": {
            "BACKEND": "studio.cache.ForgivingRedis",
            "LOCATION": REDIS_URL,
            "OPTIONS": {"db": 1, **_ONE_TRY},
        },
        "judged": {
            "BACKEND": "studio.cache.RestingRedis",
            "LOCATION": REDIS_URL,
            "TIMEOUT": 6 * 3600,
            "OPTIONS": {"db": 2, **_ONE_TRY},
        },
    }
    if REDIS_URL
    else {
        "default": {
            "BACKEND": "django.core.cache.backends.filebased.FileBasedCache",
            "LOCATION": VAR_DIR / "cache",
        },
        "judged": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache", "OPTIONS": {"MAX_ENTRIES": 1000}},
    }
)

# --- Sign-in ----------------------------------------------------------------------------------------------------------

AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "allauth.account.auth_backends.AuthenticationBackend",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}", "OPTIONS": options}
    for name, options in (
        ("UserAttributeSimilarityValidator", {"user_attributes": ("email", "name")}),
        ("MinimumLengthValidator", {"min_length": 12}),
    )
] + [{"NAME": "studio.passwords.HardToGuess"}]
LOGIN_URL = "account_login"
LOGIN_REDIRECT_URL = "/"
ACCOUNT_ADAPTER = "studio.signin.AccountAdapter"
ACCOUNT_LOGIN_METHODS = {"email"}
ACCOUNT_SIGNUP_FIELDS = ["email*", "password1*", "password2*"]
ACCOUNT_USER_MODEL_USERNAME_FIELD = None
ACCOUNT_EMAIL_VERIFICATION = "none"  # people join by an invitation that was e-mailed to them
ACCOUNT_CHANGE_EMAIL = True
ACCOUNT_LOGOUT_REDIRECT_URL = "account_login"
ACCOUNT_REAUTHENTICATION_REQUIRED = True
ACCOUNT_REAUTHENTICATION_TIMEOUT = 15 * 60  # what counts as a recent proof: see studio/weighty.py
ACCOUNT_EMAIL_NOTIFICATIONS = True
ACCOUNT_EMAIL_SUBJECT_PREFIX = "Overmantel: "
# One caller at one address is locked out below; these bound many addresses that try one account, and the reverse. Wrong
# passwords, and wrong second factors of one person, count for that account alone: neighbours did nothing.
ACCOUNT_RATE_LIMITS = {"login": "30/m/ip", "login_failed": "30/15m/key"}
ALLAUTH_TRUSTED_PROXY_COUNT = TRUSTED_PROXIES
MFA_ADAPTER = "studio.signin.SecondFactorAdapter"
MFA_FORMS = {
    "add_webauthn": "studio.passkeys.AddForm",
    "authenticate_webauthn": "studio.passkeys.AuthenticateForm",
    "login_webauthn": "studio.passkeys.LoginForm",
    "reauthenticate_webauthn": "studio.passkeys.ReauthenticateForm",
}
MFA_SUPPORTED_TYPES = ["totp", "webauthn", "recovery_codes"]
MFA_PASSKEY_LOGIN_ENABLED = True
MFA_TOTP_ISSUER = "Overmantel"
MFA_ALLOW_UNVERIFIED_EMAIL = True
MFA_WEBAUTHN_ALLOW_INSECURE_ORIGIN = not PRODUCTION
AXES_FAILURE_LIMIT = 5
AXES_COOLOFF_TIME = 0.25  # hours
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_RESET_ON_SUCCESS = True
AXES_LOCKOUT_CALLABLE = "studio.signin.locked_out"
AXES_CLIENT_IP_CALLABLE = "studio.signin.client_address"
AXES_HTTP_RESPONSE_CODE = 429
AXES_VERBOSE = False

# --- Files ------------------------------------------------------------------------------------------------------------

STATIC_URL = "/static/"
STATIC_ROOT = env.folder("STATIC_ROOT", VAR_DIR / "static")
STATIC_ROOT.mkdir(parents=True, exist_ok=True)
WHITENOISE_USE_FINDERS = not PRODUCTION
#: Pictures and sheets, where no bucket keeps them. No URL leads here: views check who asks and then stream the file.
MEDIA_ROOT = env.folder("MEDIA_ROOT", VAR_DIR / "media")
#: Nightly backups, where no bucket keeps them.
BACKUP_ROOT = env.folder("BACKUP_ROOT", VAR_DIR / "backups")
STORAGES = {
    "default": env.object_store("FILES_BUCKET") or {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "backups": env.object_store("BACKUP_BUCKET")
    or {"BACKEND": "django.core.files.storage.FileSystemStorage", "OPTIONS": {"location": BACKUP_ROOT}},
    "staticfiles": {
        "BACKEND": "studio.storage.StaticFiles"
        if PRODUCTION
        else "django.contrib.staticfiles.storage.StaticFilesStorage"
    },
}
#: Whether what people send as pictures is decoded in processes of its own, away from the database and its secrets.
DECODE_APART = True
FILE_UPLOAD_PERMISSIONS = 0o640
FILE_UPLOAD_DIRECTORY_PERMISSIONS = 0o750
#: What reads a picture's dominant colours, by its dotted name: `studio` imports nothing from above it.
PALETTE_READER = "placements.engine.colour.dominant_colours"
THUMBNAIL_BASEDIR = "thumbnails"
THUMBNAIL_DEFAULT_STORAGE_ALIAS = "default"  # beside the pictures, where every machine finds them
THUMBNAIL_QUALITY = 82
THUMBNAIL_PROGRESSIVE = 0
THUMBNAIL_ALIASES = {
    "": {
        "strip": {"size": (240, 240)},
        "page": {"size": (800, 800)},
        "sheet": {"size": (600, 600)},
        "large": {"size": (1800, 1800)},
    }
}

# --- E-mail -----------------------------------------------------------------------------------------------------------

globals().update(env.email("EMAIL_URL"))
DEFAULT_FROM_EMAIL = SERVER_EMAIL = env.text("FROM_EMAIL", f"Overmantel <noreply@{HOST}>")

# --- Background work --------------------------------------------------------------------------------------------------

#: Sheets and proposals wait in queues of their own, so that a burst of one never holds up the other.
QUEUES = ("default", "proposals", "sheets")
_BROKER_DIR = VAR_DIR / "broker"
if REDIS_URL:
    CELERY_BROKER_URL = REDIS_URL
    CELERY_BROKER_TRANSPORT_OPTIONS = {
        "queue_order_strategy": "priority",
        "priority_steps": [0, 3, 6, 9],
        "visibility_timeout": 600,
        "socket_timeout": 20,
        "socket_connect_timeout": 5,
    }
else:
    for _folder in ("queue", "control"):
        (_BROKER_DIR / _folder).mkdir(parents=True, exist_ok=True)
    CELERY_BROKER_URL = "files://localhost"
    CELERY_BROKER_TRANSPORT_OPTIONS = {
        "data_folder_in": str(_BROKER_DIR / "queue"),
        "data_folder_out": str(_BROKER_DIR / "queue"),
        "control_folder": str(_BROKER_DIR / "control"),
        "polling_interval": 0.1,  # the transport's own second allows two tasks a second
    }
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_RESULT_BACKEND = None  # the database row is the truth, never the queue
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = True
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_WORKER_HIJACK_ROOT_LOGGER = False
CELERY_WORKER_MAX_TASKS_PER_CHILD = 500
CELERY_WORKER_SOFT_SHUTDOWN_TIMEOUT = 20.0
CELERY_TASK_TIME_LIMIT = 600
CELERY_TASK_SOFT_TIME_LIMIT = 540
CELERY_TASK_DEFAULT_QUEUE = "default"
CELERY_TASK_QUEUES = {name: {"exchange": name, "routing_key": name} for name in QUEUES}
CELERY_TASK_ROUTES = {
    "*_sweep": {"queue": "default"},
    "placements.tasks.notices_*": {"queue": "default"},
    "placements.tasks.reviews_refresh": {"queue": "default"},
    "placements.tasks.*": {"queue": "proposals"},
    "reports.tasks.*": {"queue": "sheets"},
}
CELERY_TIMEZONE = "UTC"
CELERY_BEAT_SCHEDULE_FILENAME = str(VAR_DIR / "schedule")
#: Rows that a dead worker or broker lost are found by these sweeps and queued again: task and seconds between.
SWEEPS: dict[str, float] = {
    "reports.tasks.reports_sweep": 2.0,
    "studio.tasks.lists_sweep": 10.0,
    "placements.tasks.photos_sweep": 10.0,
    "placements.tasks.proposals_sweep": 5.0,
    "placements.tasks.notices_deliver": 300.0,
}
#: What is done once a day, at what time (UTC).
CARE: dict[str, tuple[int, int]] = {
    "studio.tasks.backup": (env.integer("BACKUP_HOUR", 2, low=0, high=23), 15),
    "studio.tasks.sign_ins_clear": (4, 10),
    "studio.tasks.links_clear": (4, 20),
    "studio.tasks.files_clear": (4, 30),
    "placements.tasks.notices_clear": (4, 40),
    "placements.tasks.dates_remind": (5, 0),
}
CELERY_BEAT_SCHEDULE: dict[str, dict[str, Any]] = {
    name: {"task": name, "schedule": seconds, "options": {"expires": seconds * 2, "queue": "default"}}
    for name, seconds in SWEEPS.items()
} | {
    name: {
        "task": name,
        "schedule": crontab(hour=hour, minute=minute),
        "options": {"expires": 3600, "queue": "default"},
    }
    for name, (hour, minute) in CARE.items()
}
#: How long nightly backups are kept [days]; the newest three always are.
BACKUP_DAYS = env.integer("BACKUP_DAYS", 14, low=1, high=3650)
#: How long a worker may be silent about a sheet before another takes it over [s]; about a proposal or a photograph.
SHEET_LEASE_SECONDS = env.integer("SHEET_LEASE_SECONDS", 5, low=1, high=600)
RUN_LEASE_SECONDS = env.integer("RUN_LEASE_SECONDS", 20, low=1, high=600)
#: Background work that fails is tried this often, the first time after this pause, which then doubles [s].
WORK_TRIES = env.integer("WORK_TRIES", 3, low=1, high=20)
WORK_PAUSE_SECONDS = env.integer("WORK_PAUSE_SECONDS", 5, low=1, high=300)
#: Workers that died over one piece of work, after which it is given up.
WORK_DEATHS = env.integer("WORK_DEATHS", 5, low=1, high=20)
#: Work that waits while nobody takes any for this long has lost its message: a worker is woken again [s].
WORK_CALL_AGAIN_SECONDS = env.integer("WORK_CALL_AGAIN_SECONDS", 30, low=1, high=600)
#: How long a hanger's link works [days].
JOB_LINK_DAYS = env.integer("JOB_LINK_DAYS", 30, low=1, high=365)

# --- API --------------------------------------------------------------------------------------------------------------

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": [
        "studio.api.authentication.KeyAuthentication",
        "rest_framework.authentication.SessionAuthentication",
    ],
    "DEFAULT_PERMISSION_CLASSES": ["rest_framework.permissions.IsAuthenticated"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["studio.api.parsers.PlainJson"],
    "DEFAULT_FILTER_BACKENDS": [
        "django_filters.rest_framework.DjangoFilterBackend",
        "rest_framework.filters.SearchFilter",
        "rest_framework.filters.OrderingFilter",
    ],
    "DEFAULT_PAGINATION_CLASS": "rest_framework.pagination.PageNumberPagination",
    "PAGE_SIZE": 50,
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "DEFAULT_THROTTLE_CLASSES": [
        "rest_framework.throttling.AnonRateThrottle",
        "rest_framework.throttling.UserRateThrottle",
    ],
    "DEFAULT_THROTTLE_RATES": {
        "anon": f"{env.integer('ANONYMOUS_REQUESTS_A_MINUTE', 60, low=1, high=1_000_000)}/min",
        "user": f"{env.integer('API_REQUESTS_A_MINUTE', 600, low=1, high=1_000_000)}/min",
    },
    "NUM_PROXIES": TRUSTED_PROXIES,
    "EXCEPTION_HANDLER": "studio.problems.api_exception_handler",
    "TEST_REQUEST_DEFAULT_FORMAT": "json",
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Overmantel",
    "DESCRIPTION": "Where clients' own art hangs, across all of a studio's projects. Lengths are millimetres.",
    "VERSION": "1.0.0",
    "OAS_VERSION": "3.1.0",
    "SERVE_INCLUDE_SCHEMA": False,
    "COMPONENT_SPLIT_REQUEST": True,
    "SCHEMA_PATH_PREFIX": "/api/v1",
    "POSTPROCESSING_HOOKS": ["drf_spectacular.hooks.postprocess_schema_enums", "studio.api.schema.complete"],
    "ENUM_NAME_OVERRIDES": {
        "RevisionStateEnum": "placements.models.RevisionState",
        "RunStateEnum": "placements.models.RunState",
        "ReportStateEnum": "reports.models.ReportState",
        "MarkStateEnum": "placements.models.MarkState",
        "FormEnum": "studio.models.Form",
        "GroupFormEnum": "placements.selectors.groups.FORMS",
        "MarkKindEnum": "placements.services.photos.marks.MARK_KINDS",
        "DateKindEnum": "placements.models.dates.DateKind",
    },
}

# --- Security ---------------------------------------------------------------------------------------------------------

_HTTPS = BASE_URL.startswith("https://")
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if TRUSTED_PROXIES else None
SECURE_SSL_REDIRECT = PRODUCTION and _HTTPS
SECURE_REDIRECT_EXEMPT = [r"^health/", r"^metrics$"]  # asked from inside, by plain http
SECURE_HSTS_SECONDS = 31_536_000 if PRODUCTION and _HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = bool(SECURE_HSTS_SECONDS)
#: To be on browsers' lists binds the whole domain for years: the operator's choice, not ours.
SECURE_HSTS_PRELOAD = SECURE_HSTS_INCLUDE_SUBDOMAINS and env.flag("HSTS_PRELOAD", default=False)
SILENCED_SYSTEM_CHECKS = ["security.W021"]
#: Pages behind a link have its token in their address: no referrer ever holds more than the origin, which forms need.
SECURE_REFERRER_POLICY = "strict-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = _HTTPS
SESSION_COOKIE_NAME = "__Host-session" if _HTTPS else "session"
SESSION_COOKIE_AGE = 14 * 24 * 3600
SESSION_COOKIE_SAMESITE = CSRF_COOKIE_SAMESITE = "Lax"
X_FRAME_OPTIONS = "DENY"
#: No inline script or style anywhere, nothing from elsewhere, nothing framed.
CONTENT_SECURITY_POLICY = {
    "default-src": "'self'",
    "script-src": "'self'",
    "style-src": "'self'",
    "img-src": "'self' data: blob:",
    "font-src": "'self'",
    "connect-src": "'self'",
    "worker-src": "'self'",
    "manifest-src": "'self'",
    "object-src": "'none'",
    "base-uri": "'none'",
    "form-action": "'self'",
    "frame-ancestors": "'none'",
}
PERMISSIONS_POLICY = "camera=(self), geolocation=(), microphone=(), payment=(), publickey-credentials-get=(self)"

# --- Limits -----------------------------------------------------------------------------------------------------------

#: The largest request that is read at all [bytes].
MAX_BODY_BYTES = env.integer("MAX_BODY_MB", 48, low=1, high=1024) * 1024 * 1024
#: The largest body other than uploaded files, such as a survey posted to the API [bytes].
DATA_UPLOAD_MAX_MEMORY_SIZE = 12 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 2000
DATA_UPLOAD_MAX_NUMBER_FILES = 50
FILE_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024

# --- Logs -------------------------------------------------------------------------------------------------------------

#: Where traces go (studio/tracing.py), and the name that they are of; nowhere unless it is set.
TRACES_TO = env.text("OTEL_EXPORTER_OTLP_ENDPOINT", "")
TRACED_AS = env.text("OTEL_SERVICE_NAME", "overmantel")

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "filters": {"request_id": {"()": "studio.logs.RequestIdFilter"}},
    "formatters": {
        "json": {"()": "studio.logs.JsonFormatter"},
        "plain": {"format": "{asctime} {levelname:7} {name} [{request_id}] {message}", "style": "{"},
    },
    "handlers": {
        "console": {
            "class": "logging.StreamHandler",
            "filters": ["request_id"],
            "formatter": "json" if PRODUCTION else "plain",
        }
    },
    "root": {"handlers": ["console"], "level": env.choice("LOG_LEVEL", ("DEBUG", "INFO", "WARNING", "ERROR"), "INFO")},
    "loggers": {
        # These write what people typed (e-mail addresses) into their messages.
        "axes": {"level": "ERROR"},
        # Sweeps run every few seconds; what a task did is said by the service that did it.
        "celery.worker.strategy": {"level": "WARNING"},
        "celery.app.trace": {"level": "WARNING"},
        # Says of each message that nobody took in time, as is meant, that it was “revoked”.
        "celery.worker.request": {"level": "WARNING"},
        # Says that the transport for development knows no host names.
        "kombu.connection": {"level": "ERROR"},
        # Parsers and PDF writers that narrate every step.
        "fontTools": {"level": "ERROR"},
        "weasyprint": {"level": "ERROR"},
        "PIL": {"level": "WARNING"},
        "django": {"handlers": [], "level": "INFO", "propagate": True},
        "django.server": {"handlers": [], "level": "INFO", "propagate": True},
    },
}

# --- Observability ----------------------------------------------------------------------------------------------------

#: Scrapers show it as a bearer token; without one the metrics page does not exist.
METRICS_TOKEN = env.secret("METRICS_TOKEN", "", shortest=24)
PROMETHEUS_EXPORT_MIGRATIONS = False
#: What counts the letters that wait, by its dotted name.
LETTERS_WAITING = "placements.services.notices.letters_waiting"
