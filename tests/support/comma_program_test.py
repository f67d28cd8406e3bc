#!/usr/bin/python3
"""The test setup `comma` reaches `firn` itself: asked for a locale without a comma, the library that
forces the locale ends the program. Without the setup nothing does."""
import os
import sys

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
from firn_run import Tap, firn  # noqa: E402

NO_COMMA = 99  # comma_locale.c


def main():
    tap = Tap()
    comma = "FIRN_TEST_LOCALE" in os.environ
    with tap.case("firn runs in the locale of this pass"):
        tap.status(firn("scale", "points"), 0)
    with tap.case("firn is stopped in another locale" if comma else "nothing forces a locale"):
        run = firn("scale", "points", env={"FIRN_TEST_LOCALE": "C"})
        tap.status(run, NO_COMMA if comma else 0)
        tap.equal("said", "has no decimal comma here" in run.err, comma)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
