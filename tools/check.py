#!/usr/bin/python3
"""Every test, suite by suite, with the minutes each took; ends with "N passed, N failed".

Suites: the house (direction of use, formatting, documentation), the tests with gcc, and with clang
under the address and undefined-behaviour sanitizers, those with gcc once more in a locale with a
decimal comma, and a short run of each fuzz target.
"""
import json
import os
import pathlib
import re
import subprocess
import sys
import time

ROOT = pathlib.Path(__file__).resolve().parent.parent
TAP_LINE = re.compile(r"^(not ok|ok)\b(.*)$", re.MULTILINE)


# Not run under a comma: where memory, disks and readers fail, and the tests whose own yardstick is
# the C library's strtod or printf. What those test is tested under a comma by number (a case of its
# own, which enters the locale), comma_locale and every test that reads or prints a number.
NOT_UNDER_COMMA = re.compile(r"^(fault_.*|decimal|number|report_rounding)$")


class Totals:
    def __init__(self):
        self.passed = 0
        self.failed = 0
        self.minutes = []


def run(command, **extra):
    return subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False, **extra)


def count_tap(text):
    """Passed and failed of one test program; a line '# SKIP' counts as neither."""
    passed = failed = 0
    for state, rest in TAP_LINE.findall(text):
        if "# SKIP" in rest.upper():
            continue
        passed += state == "ok"
        failed += state == "not ok"
    return passed, failed


def house(totals):
    """The checks of the tree itself print TAP."""
    result = run(["/usr/bin/python3", "tools/check_house.py"])
    passed, failed = count_tap(result.stdout)
    if result.returncode != 0:
        print(result.stdout + result.stderr)
        failed = max(failed, 1)
    totals.passed += passed
    totals.failed += failed


def build(folder, options, environment):
    """Configures and compiles; True when there was neither error nor warning (they are errors)."""
    env = dict(os.environ, **environment)
    if not (ROOT / folder / "build.ninja").exists():
        result = run(["meson", "setup", folder, *options], env=env)
        if result.returncode != 0:
            print(result.stdout[-4000:] + result.stderr[-4000:])
            return False
    result = run(["ninja", "-C", folder], env=env)
    if result.returncode != 0:
        print("\n".join(line for line in result.stdout.splitlines() if not line.startswith("["))[-12000:] + result.stderr[-2000:])
    return result.returncode == 0


def make_comma_locale(folder):
    """A locale with a decimal comma for the tests that ask for one; they skip without."""
    where = ROOT / folder / "locales"
    if not where.exists():
        where.mkdir()
        run(["localedef", "-i", "de_DE", "-f", "UTF-8", str(where / "de_DE.UTF-8")])


def tests(folder, totals, setup=None, names=()):
    """meson test, counted by the TAP lines of its log: all tests, or those named, under a setup."""
    make_comma_locale(folder)
    log = ROOT / folder / "meson-logs" / ("testlog.json" if setup is None else f"testlog-{setup}.json")
    log.unlink(missing_ok=True)
    run(["meson", "test", "-C", folder, "--no-rebuild", "--num-processes", "2",
         *(["--setup", setup] if setup else []), *names])
    if not log.exists():
        print(f"{folder}: no test has run")
        totals.failed += 1
        return
    for line in log.read_text(encoding="utf-8").splitlines():
        entry = json.loads(line)
        passed, failed = count_tap(entry.get("stdout", ""))
        if entry["result"] not in ("OK", "SKIP") and failed == 0:
            failed = 1  # crashed, timed out, or a sanitizer spoke after the last test
        totals.passed += passed
        totals.failed += failed
        if failed:
            print(f"--- {folder}: {entry['name']}: {entry['result']}")
            print(entry.get("stdout", "")[-6000:])
            print(entry.get("stderr", "")[-6000:])


def comma(totals):
    """The tests of the build with gcc under the setup `comma` (tests/support/meson.build)."""
    listed = run(["meson", "introspect", "--tests", "build"])
    if listed.returncode != 0:
        print(listed.stdout + listed.stderr)
        totals.failed += 1
        return
    names = [test["name"] for test in json.loads(listed.stdout)]
    tests("build", totals, "comma", [name for name in names if not NOT_UNDER_COMMA.match(name)])


def fuzz(totals):
    """A short look with each fuzz target; the long one is `make soak`."""
    result = run(["/usr/bin/python3", "tools/soak.py", "--seconds", "5", "--no-record"])
    if result.returncode == 0:
        totals.passed += 1
    else:
        totals.failed += 1
        print(result.stdout[-6000:] + result.stderr[-6000:])


def suite(name, totals, work):
    started = time.monotonic()
    work(totals)
    minutes = (time.monotonic() - started) / 60
    print(f"{name}: {minutes:.1f} min", flush=True)


def compiled(folder, options, environment):
    def work(totals):
        if build(folder, options, environment):
            tests(folder, totals)
        else:
            totals.failed += 1

    return work


def main():
    totals = Totals()
    suite("house", totals, house)
    suite("gcc", totals, compiled("build", [], {"CC": "gcc"}))
    suite("gcc, with a decimal comma", totals, comma)
    suite("clang with sanitizers", totals,
          compiled("build-clang", ["-Db_sanitize=address,undefined", "-Db_lundef=false"],
                   {"CC": "clang-14"}))
    suite("fuzz, briefly", totals, fuzz)
    print(f"{totals.passed} passed, {totals.failed} failed")
    return 1 if totals.failed or not totals.passed else 0


if __name__ == "__main__":
    sys.exit(main())
