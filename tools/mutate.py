#!/usr/bin/python3
"""Puts deliberate faults into the engine, one at a time, and looks whether the tests notice.

    tools/mutate.py                 all of tools/mutations.txt; ends with the survivors
    tools/mutate.py --only zero     those whose name holds a word
    tools/mutate.py --keep FOLDER   works there and leaves it, to look at

Works on a copy of the committed files in a temporary folder; the tree itself is left alone. A fault
is killed when it does not compile (warnings are errors) or a test fails; the quick tests are run up to
the first failure. Exit status 1 when one survives.
"""
import argparse
import json
import os
import re
import subprocess
import sys
import tempfile

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
LIST = os.path.join(ROOT, "tools", "mutations.txt")
FEWEST = 40  # faults that the list has to hold
# What reads files, writes reports or takes long knows nothing of the engine's numbers.
NOT_QUICK = re.compile(r"^(file_|base_|report_|lab_|command_(bad|errors|schema|same_everywhere)"
                       r"|fault_|bench)")


class Fault:
    def __init__(self, file, name):
        self.file, self.name, self.old, self.new = file, name, [], []

    def put_into(self, text):
        old, new = "\n".join(self.old), "\n".join(self.new)
        if text.count(old) != 1:
            raise ValueError(f"{self.file}: {self.name}: the text stands {text.count(old)} times")
        return text.replace(old, new)


def read_list():
    faults = []
    with open(LIST, encoding="utf-8") as file:
        for number, line in enumerate(file.read().splitlines(), 1):
            if line.startswith("== "):
                faults.append(Fault(*line[3:].split(": ", 1)))
            elif line[:2] in ("- ", "-"):
                faults[-1].old.append(line[2:])
            elif line[:2] in ("+ ", "+"):
                faults[-1].new.append(line[2:])
            elif line and not line.startswith("#"):
                raise ValueError(f"{LIST}:{number}: this line is of no kind: {line!r}")
    if len(faults) < FEWEST:
        raise ValueError(f"{LIST} holds {len(faults)} faults; {FEWEST} are wanted")
    return faults


def quiet(*args, cwd=None):
    return subprocess.run([str(a) for a in args], cwd=cwd, stdout=subprocess.PIPE,
                          stderr=subprocess.STDOUT, text=True, errors="replace", check=False)


class Copy:
    """The committed tree, copied and built."""

    def __init__(self, where):
        self.tree, self.build = os.path.join(where, "tree"), os.path.join(where, "build")
        os.makedirs(self.tree, exist_ok=True)
        archive = subprocess.run(["git", "-C", ROOT, "archive", "HEAD"], check=True,
                                 stdout=subprocess.PIPE).stdout
        # dated now (-m), so that nothing stays compiled from a fault of an earlier run
        subprocess.run(["tar", "-x", "-m", "-C", self.tree], input=archive, check=True)
        if not os.path.exists(os.path.join(self.build, "build.ninja")):
            done = quiet("meson", "setup", self.build, self.tree)
            if done.returncode != 0:
                sys.exit(done.stdout)
        if not self.compiles():
            sys.exit("the tree itself does not compile")
        listed = json.loads(quiet("meson", "introspect", "--tests", self.build).stdout)
        self.tests = [t["name"] for t in listed if not NOT_QUICK.match(t["name"])]
        failed = self.failing_test()
        if failed:
            sys.exit(f"the tree itself fails a test: {failed}")

    def compiles(self):
        return quiet("nice", "ninja", "-C", self.build, "-j1").returncode == 0

    def failing_test(self):
        done = quiet("nice", "meson", "test", "-C", self.build, "--no-rebuild",
                     "--num-processes", "1", "--maxfail", "1", *self.tests)
        if done.returncode == 0:
            return None
        found = re.search(r"^\s*\d+/\d+ (\S+)\s+(FAIL|TIMEOUT|ERROR)", done.stdout, re.M)
        return found[1] if found else "meson test"

    def verdict(self, fault):
        """What noticed the fault; None when nothing did."""
        path = os.path.join(self.tree, fault.file)
        with open(path, encoding="utf-8") as file:
            good = file.read()
        try:
            with open(path, "w", encoding="utf-8") as file:
                file.write(fault.put_into(good))
            return self.failing_test() if self.compiles() else "the compiler"
        finally:
            with open(path, "w", encoding="utf-8") as file:
                file.write(good)


def run(where, only):
    faults = [f for f in read_list() if only in f"{f.file}: {f.name}"]
    copy, survivors = Copy(where), []
    for fault in faults:
        noticed = copy.verdict(fault)
        print(f"{'killed by ' + noticed if noticed else 'SURVIVED'}: {fault.file}: {fault.name}",
              flush=True)
        if noticed is None:
            survivors.append(fault)
    print(f"{len(faults)} faults, {len(faults) - len(survivors)} killed, "
          f"{len(survivors)} survived")
    return 1 if survivors else 0


def main():
    parser = argparse.ArgumentParser(description="Deliberate faults, one at a time.")
    parser.add_argument("--only", default="", help="faults whose file or name holds this")
    parser.add_argument("--keep", help="work in this folder and leave it")
    o = parser.parse_args()
    if o.keep:
        return run(os.path.abspath(o.keep), o.only)
    with tempfile.TemporaryDirectory(prefix="firn-mutate-") as where:
        return run(where, o.only)


if __name__ == "__main__":
    sys.exit(main())
