"""Runs the program under test and reports in TAP.

The program is named by FIRN_PROGRAM (or --program PATH). A test file makes a Tap, opens one case
after the other and compares inside it; a case that compared nothing has failed, so that no case
passes because its data were empty.
"""
import contextlib
import json
import math
import os
import subprocess
import sys
import tempfile
import traceback

SHOWN = 12  # differences printed for one case; the rest is counted


def program():
    """Path of the program: --program PATH wins over FIRN_PROGRAM."""
    if "--program" in sys.argv:
        return os.path.abspath(sys.argv[sys.argv.index("--program") + 1])
    try:
        return os.path.abspath(os.environ["FIRN_PROGRAM"])
    except KeyError:
        sys.exit("FIRN_PROGRAM is not set; it names the program to test")


class Run:
    """One finished call of the program: status, out and err as text, and what was called."""

    def __init__(self, args, status, out, err):
        self.args, self.status, self.out, self.err = args, status, out, err

    def json(self):
        """stdout as JSON; NaN and Infinity, which JSON does not know, are refused."""
        try:
            return json.loads(self.out, parse_constant=_refuse_constant)
        except ValueError as error:
            raise ValueError(f"stdout is not JSON: {error}\n{self.describe()}") from None

    def messages(self):
        """stderr as the JSON array of messages that --json asks for."""
        try:
            return json.loads(self.err, parse_constant=_refuse_constant)
        except ValueError as error:
            raise ValueError(f"stderr is not JSON: {error}\n{self.describe()}") from None

    def describe(self):
        shown = [" ".join(["firn"] + [str(a) for a in self.args]), f"status {self.status}"]
        for name, text in (("stdout", self.out), ("stderr", self.err)):
            lines = text.splitlines()
            shown += [f"{name}: {line[:300]}" for line in lines[:12]]
            if len(lines) > 12:
                shown.append(f"{name}: ... {len(lines) - 12} more lines")
        return "\n".join(shown)


def _refuse_constant(text):
    raise ValueError(f"{text} is not a JSON number")


def firn(*args, stdin="", timeout=120, env=None, cwd=None, stdout=None):
    """Runs firn with args. env: variables to set beside the caller's; stdout: an open file."""
    setting = dict(os.environ)
    setting.update(env or {})
    done = subprocess.run(
        [program()] + [str(a) for a in args],
        input=stdin.encode(),
        stdout=stdout if stdout is not None else subprocess.PIPE,
        stderr=subprocess.PIPE,
        timeout=timeout,
        env=setting,
        cwd=cwd,
        check=False,
    )
    out = (done.stdout or b"").decode("utf-8", "strict")
    return Run(args, done.returncode, out, done.stderr.decode("utf-8", "replace"))


class Tap:
    """Test cases as TAP; call done() at the end and exit with what it returns."""

    def __init__(self):
        self.count = self.failed = 0
        self._problems, self._compared = None, 0

    @contextlib.contextmanager
    def case(self, name):
        self._problems, self._compared = [], 0
        try:
            yield self
        except Exception:  # a case that broke has failed; the others still run
            self._problems.append(traceback.format_exc(limit=-3))
        if self._compared == 0 and not self._problems:
            self._problems.append("this case compared nothing")
        self.count += 1
        name = name.replace("#", "no.")
        print(f"{'not ok' if self._problems else 'ok'} {self.count} - {name}")
        for problem in self._problems[:SHOWN]:
            print("\n".join("#   " + line for line in problem.splitlines()))
        if len(self._problems) > SHOWN:
            print(f"#   ... and {len(self._problems) - SHOWN} more")
        self.failed += bool(self._problems)
        sys.stdout.flush()

    def skip(self, name, reason):
        self.count += 1
        print(f"ok {self.count} - {name} # SKIP {reason}")

    def near(self, what, got, want, tolerance):
        """|got - want| <= tolerance, in double precision."""
        self._compared += 1
        if got is None:
            self._problems.append(f"{what}: nothing there, want {float(want):.17g}")
            return
        if not isinstance(got, (int, float)) or isinstance(got, bool):
            self._problems.append(f"{what}: {got!r} is no number")
            return
        want = float(want)
        difference = got - want
        if not math.isfinite(difference) or not abs(difference) <= tolerance:
            self._problems.append(
                f"{what}: got {got:.17g}, want {want:.17g}, "
                f"difference {difference:.3g}, tolerance {tolerance:.3g}"
            )

    def equal(self, what, got, want):
        self._compared += 1
        if got != want or type(got) is bool and type(want) is not bool:
            self._problems.append(f"{what}: got {got!r}, want {want!r}")

    def true(self, what, holds, detail=""):
        """What must hold; detail, shown on failure, says what was found instead."""
        self._compared += 1
        if not holds:
            self._problems.append(f"{what}: does not hold. {detail}".rstrip())

    def status(self, run, want):
        self._compared += 1
        if run.status != want:
            self._problems.append(f"exit status: got {run.status}, want {want}\n{run.describe()}")

    def done(self):
        print(f"1..{self.count}")
        return 1 if self.failed or self.count == 0 else 0


def write(folder, name, text):
    """Writes a file for a test and returns its path."""
    path = os.path.join(folder, name)
    with open(path, "w", encoding="utf-8", newline="\n") as file:
        file.write(text)
    return path


def folder():
    """A folder of a test's own, gone when the `with` block ends."""
    return tempfile.TemporaryDirectory(prefix="firn-test-")
