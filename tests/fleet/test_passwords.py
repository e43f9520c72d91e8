"""Outside the tests passwords are hashed the slow way."""

import subprocess
import sys


def test_the_program_itself_hashes_slowly():
    ask = (
        "import django; django.setup(); from django.contrib.auth.hashers import get_hasher; "
        "print(get_hasher().algorithm)"
    )
    env = {"DJANGO_SETTINGS_MODULE": "fleet.config.settings", "PATH": "/usr/bin:/bin"}
    said = subprocess.run([sys.executable, "-c", ask], env=env, capture_output=True, text=True, check=True)
    assert said.stdout.strip().startswith(("pbkdf2", "argon2", "scrypt"))
