#!/usr/bin/python3
"""Whole runs under valgrind: no access beyond memory, none to what was not set, nothing lost."""
import os
import shutil
import subprocess
import sys

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "support"))
from firn_run import Tap, folder, program  # noqa: E402

GOOD = os.path.join(HERE, "..", "command", "bad", "good")
FOUND = 9  # exit status that valgrind is asked for; none that firn has
VALGRIND = ["valgrind", "--quiet", f"--error-exitcode={FOUND}", "--leak-check=full",
            "--errors-for-leak-kinds=definite,indirect", "--show-leak-kinds=definite,indirect",
            "--suppressions=" + os.path.join(HERE, "valgrind.supp")]
RUNS = {
    "reduce with PDF and result": (0, "reduce", "--pdf", "c.pdf", "--result", "r.json",
                                   os.path.join(GOOD, "job.yaml")),
    "evaluate": (0, "evaluate", "--json", os.path.join(GOOD, "model.yaml")),
    "a wrong job": (2, "reduce", "--json", os.path.join(GOOD, "model.yaml")),
}


def has_sanitizer():
    with open(program(), "rb") as file:
        return b"__asan_" in file.read()


def main():
    tap = Tap()
    for name, (status, *args) in RUNS.items():
        if shutil.which("valgrind") is None:
            tap.skip(name, "valgrind is not here")
            continue
        if has_sanitizer():
            tap.skip(name, "the address sanitizer does not run under valgrind")
            continue
        with tap.case(name), folder() as where:
            done = subprocess.run([*VALGRIND, program(), *args], cwd=where, check=False,
                                  stdout=subprocess.PIPE, stderr=subprocess.PIPE)
            tap.equal("exit status", done.returncode, status)
            tap.true("valgrind is silent", b"==" not in done.stderr,
                     done.stderr.decode("utf-8", "replace")[:3000])
            if "--pdf" in args:
                tap.equal("files", sorted(os.listdir(where)), ["c.pdf", "r.json"])
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
