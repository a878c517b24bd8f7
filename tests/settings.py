"""The shipped settings, in a data folder that goes away with the run."""

import atexit
import os
import shutil
import tempfile

if "BUFFYCOAT_DATA" not in os.environ:
    os.environ["BUFFYCOAT_DATA"] = tempfile.mkdtemp(prefix="buffycoat-")
    atexit.register(shutil.rmtree, os.environ["BUFFYCOAT_DATA"], ignore_errors=True)

# The browser's driver keeps an event loop in the tests' own thread; Django would take that for an async view.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")

from buffycoat.settings import *  # noqa: F403

REQUESTS_A_MINUTE = dict.fromkeys(("person", "nobody", "address"), 10**9)  # a test asks faster than hands
