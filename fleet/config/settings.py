"""What Django is told. Values come from the environment; without any, the embedded mode runs on SQLite."""

import dj_database_url
from celery.schedules import crontab

from fleet.config import environment
from fleet.config.mail_address import mail_server
from fleet.snapshots.decoding import MAX_BYTES

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
    "fleet.config.methods.MethodPageMiddleware",
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
# A queue of our own, so that a Redis may be shared with other programs.
CELERY_TASK_DEFAULT_QUEUE = "sparebook"
# Nobody asks for the result of a job: rows tell what came of it, and a Redis that keeps results only fills up.
CELERY_TASK_IGNORE_RESULT = True
# A job is taken off the queue when it is done, not when it is begun: a killed worker loses no work.
CELERY_TASK_ACKS_LATE = True
# The same where only the child that did the job was killed (by hand, or by the kernel for want of memory).
CELERY_TASK_REJECT_ON_WORKER_LOST = True
# A worker takes one job at a time: jobs are long, and one that it had set aside would wait while others are idle.
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
# While Redis is away a worker finishes the job it is at: rows keep what it did, and doing it twice changes nothing.
CELERY_WORKER_CANCEL_LONG_RUNNING_TASKS_ON_CONNECTION_LOSS = False
# It tries for as long as it takes to reach Redis again: nobody need be there to start it anew.
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_BROKER_CONNECTION_MAX_RETRIES = None
# Whoever hands a job out does not wait for a Redis that is away: it is found again from the rows within a minute.
CELERY_TASK_PUBLISH_RETRY_POLICY = {
    "max_retries": 2,
    "interval_start": 0,
    "interval_step": 0.2,
    "interval_max": 0.2,
}
# A job is told to end, and one that does not hear is killed. Chunks of a round have shorter limits of their own.
CELERY_TASK_SOFT_TIME_LIMIT = 840
CELERY_TASK_TIME_LIMIT = 900
# Redis hands a job out again that nobody has reported done for so long. Longer than any job may run, or one that is
# still at work would be done by a second worker as well.
HANDED_OUT_AGAIN_SECONDS = 1800
CELERY_BROKER_TRANSPORT_OPTIONS = (
    {"polling_interval": 0.1}
    if CELERY_BROKER_URL == EMBEDDED_QUEUE
    # The prefix keeps our keys apart from those of other programs in the same Redis.
    else {
        "visibility_timeout": HANDED_OUT_AGAIN_SECONDS,
        "global_keyprefix": "sparebook:",
        "socket_keepalive": True,
        "socket_connect_timeout": 5,
    }
)
CELERY_WORKER_HIJACK_ROOT_LOGGER = False
CELERY_TIMEZONE = "UTC"
CELERY_BEAT_SCHEDULE_FILENAME = str(HOME / "schedule")
CELERY_BEAT_SCHEDULE = {
    "the rounds": {"task": "fleet.tasks.look_after_rounds", "schedule": crontab()},
    "papers that are due": {"task": "reports.tasks.renew_stale_sheets", "schedule": crontab(minute=35)},
    "papers of a round": {
        "task": "reports.tasks.look_after_papers",
        "schedule": crontab(),
        "options": {"expires": 50},
    },
    # What nobody took off the queue in time is asked anew by the next turn.
    "messages that are due": {
        "task": "fleet.tasks.tell_and_send",
        "schedule": crontab(minute="*/5"),
        "options": {"expires": 240},
    },
    "drills drawn by lot": {"task": "fleet.tasks.draw_drill_lots", "schedule": crontab(minute=10)},
    "the chain of the journal": {
        "task": "fleet.tasks.chain_journal",
        "schedule": crontab(),
        "options": {"expires": 50},
    },
    "events that are due": {
        "task": "fleet.tasks.deliver_events",
        "schedule": crontab(),
        "options": {"expires": 50},
    },
}

# How many meshes of a round a worker takes at a time: some seconds of work, so that several workers end together.
ROUND_CHUNK = 100
# A worker at a round gives a sign after each mesh. Without one for so long it is taken for dead, and another goes on
# with its chunk: as long as a worker may take over a chunk before it is killed (fleet.tasks.run_chunk).
ROUND_LEASE_SECONDS = 180

# Counts shared by all web processes where there is a Redis; else within this one process.
CACHES = {
    "default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}
    if CELERY_BROKER_URL == EMBEDDED_QUEUE
    else {
        "BACKEND": "django.core.cache.backends.redis.RedisCache",
        "LOCATION": CELERY_BROKER_URL,
        "KEY_PREFIX": "sparebook",
    }
}

# Messages go through a mail server, or become files in the data folder. A server that does not answer is left alone
# after EMAIL_TIMEOUT seconds.
MESSAGES_FOLDER = environment.folder("messages")
_mail = mail_server("SPAREBOOK_MAIL", environment.word("SPAREBOOK_MAIL", "files"))
EMAIL_BACKEND, EMAIL_HOST, EMAIL_PORT = _mail.backend, _mail.host, _mail.port
EMAIL_HOST_USER, EMAIL_HOST_PASSWORD = _mail.user, _mail.password
EMAIL_USE_TLS, EMAIL_USE_SSL = _mail.starttls, _mail.tls
EMAIL_TIMEOUT = 20
DEFAULT_FROM_EMAIL = environment.word("SPAREBOOK_MAIL_FROM", "Sparebook <sparebook@localhost>")

# Where people find the book; messages end with it.
BOOK_ADDRESS = environment.address("SPAREBOOK_ADDRESS")

# Events and signs of life go to addresses of the open net, and to these networks of the firm's own.
EVENTS_MAY_REACH = environment.networks("SPAREBOOK_EVENTS_MAY_REACH")
# Asked for after each complete round, so that somebody outside notices when it is not.
SIGN_OF_LIFE = environment.address("SPAREBOOK_SIGN_OF_LIFE")

# How often one token may push in a minute; 0 sets no limit.
PUSHES_A_MINUTE = environment.number("SPAREBOOK_PUSHES_A_MINUTE", 300)

# The largest document the intake takes, in octets. No book takes more than the reader can hold.
INTAKE_LIMIT = environment.number("SPAREBOOK_INTAKE_LIMIT", 4 * 1024 * 1024, least=1, most=MAX_BYTES)

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "{asctime} {levelname} {name} {message}", "style": "{"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": environment.word("SPAREBOOK_LOG_LEVEL", "WARNING")},
}
