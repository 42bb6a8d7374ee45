"""The product's own way of keeping passwords at the least effort that it can do, so that a test waits for what it tests."""

from django.contrib.auth.hashers import Argon2PasswordHasher


class LightArgon2(Argon2PasswordHasher):
    """Argon2id with 64 KiB and one pass. Servers that a test starts hash with full effort."""

    time_cost, memory_cost, parallelism = 1, 64, 1
