"""What Django is told. Values come from the environment; without any, the embedded mode runs on SQLite."""

import dj_database_url
from celery.schedules import crontab

from fleet.config import environment

HOME = environment.home()
KEYRING_FILE = HOME / "keyring.json"
SHEETS_FOLDER = environment.folder("sheets")

SECRET_KEY = environment.kept_secret("SPAREBOOK_SECRET", HOME / "session-secret")
DEBUG = environment.switch("SPAREBOOK_DEBUG", False)
ALLOWED_HOSTS = environment.words("SPAREBOOK_HOSTS", "localhost,127.0.0.1,[::1]")
CSRF_TRUSTED_ORIGINS = environment.words("SPAREBOOK_ORIGINS", "")

DATABASES = {
    "default": dj_database_url.parse(
        environment.word("SPAREBOOK_DATABASE", f"sqlite:///{HOME / 'book.sqlite3'}"),
        conn_max_age=60,
        conn_health_checks=True,
    )
}
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    # One writer at a time: take the write lock at BEGIN, wait for it, and let readers go on meanwhile.
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 30,
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL; PRAGMA foreign_keys=ON;",
    }
else:
    # PostgreSQL keeps the plan of a statement that comes again: most of a push is such statements.
    DATABASES["default"].setdefault("OPTIONS", {}).update(server_side_binding=True, prepare_threshold=2)

INSTALLED_APPS = [
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "rest_framework",
    "sites",
    "fleet",
    "reports",
    "fleet.config",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "fleet.config.headers.ContentPolicyMiddleware",
]
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "builtins": ["fleet.pages.writing"],
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
        },
    }
]
ROOT_URLCONF = "fleet.config.urls"
WSGI_APPLICATION = "fleet.config.wsgi.application"
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "sites.Person"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in ("UserAttributeSimilarityValidator", "MinimumLengthValidator", "CommonPasswordValidator")
]
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "board"
LOGOUT_REDIRECT_URL = "sign-in"

LANGUAGE_CODE = "en-gb"
TIME_ZONE = "UTC"
USE_TZ = True
STATIC_URL = "static/"
STATIC_ROOT = environment.folder("static")
# Serve straight from the apps, so that the embedded mode needs no collecting step.
WHITENOISE_USE_FINDERS = True
DATA_UPLOAD_MAX_MEMORY_SIZE = 16 * 1024 * 1024

SECURE_PROXY = environment.switch("SPAREBOOK_BEHIND_TLS", False)
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE_PROXY
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if SECURE_PROXY else None
SECURE_SSL_REDIRECT = SECURE_PROXY
SECURE_HSTS_SECONDS = 31_536_000 if SECURE_PROXY else 0
SECURE_REFERRER_POLICY = "same-origin"
SESSION_COOKIE_HTTPONLY = True
X_FRAME_OPTIONS = "DENY"

REST_FRAMEWORK = {
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["rest_framework.parsers.JSONParser"],
    "EXCEPTION_HANDLER": "fleet.api.problems.as_problem",
    "UNAUTHENTICATED_USER": None,
}

# Without a Redis address the queue lives inside the one embedded process; rows hold what is due.
EMBEDDED_QUEUE = "memory://localhost/"
CELERY_BROKER_URL = environment.word("SPAREBOOK_REDIS", EMBEDDED_QUEUE)
CELERY_TASK_IGNORE_RESULT = True
# A job is taken off the queue when it is done, not when it is begun: a killed worker loses no work.
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = True
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_TASK_TIME_LIMIT = 900
# Redis hands an unfinished job out again after this long: longer than any job may run.
CELERY_BROKER_TRANSPORT_OPTIONS = (
    {"polling_interval": 0.1} if CELERY_BROKER_URL == EMBEDDED_QUEUE else {"visibility_timeout": 1800}
)
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_WORKER_HIJACK_ROOT_LOGGER = False
CELERY_TIMEZONE = "UTC"
CELERY_BEAT_SCHEDULE_FILENAME = str(HOME / "schedule")
CELERY_BEAT_SCHEDULE = {
    "the round": {"task": "fleet.tasks.run_round", "schedule": crontab(minute=5)},
    "papers that are due": {"task": "reports.tasks.renew_stale_sheets", "schedule": crontab(minute=35)},
}

# Counts shared by all web processes where there is a Redis; else within this one process.
CACHES = {
    "default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}
    if CELERY_BROKER_URL == EMBEDDED_QUEUE
    else {"BACKEND": "django.core.cache.backends.redis.RedisCache", "LOCATION": CELERY_BROKER_URL}
}

# How often one token may push in a minute; 0 sets no limit.
PUSHES_A_MINUTE = environment.number("SPAREBOOK_PUSHES_A_MINUTE", 300)

# The largest document the intake takes, in octets.
INTAKE_LIMIT = environment.number("SPAREBOOK_INTAKE_LIMIT", 4 * 1024 * 1024)

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "{asctime} {levelname} {name} {message}", "style": "{"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": environment.word("SPAREBOOK_LOG_LEVEL", "WARNING")},
}
