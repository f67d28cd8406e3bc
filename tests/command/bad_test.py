#!/usr/bin/python3
"""Bad input and what is said of it: the tables of bad/ (their form: bad/README.md).

    bad_test.py            every case as a test
    bad_test.py --write    writes what the program says now into the tables, to be read and judged
"""
import glob
import json
import os
import re
import sys

HERE = os.path.dirname(os.path.abspath(__file__))
BAD = os.path.join(HERE, "bad")
sys.path.insert(0, os.path.join(HERE, "..", "support"))
from firn_run import Tap, firn, folder  # noqa: E402

FILES = ("job.yaml", "readings.csv", "model.yaml")
OUTPUTS = ("r.json", "r.pdf")
FEWEST = 80  # cases that the tables have to hold between them
CHANGING = re.compile(  # what differs from run to run or with the bytes of the input
    r'"(program|inputs|sha256)": (\{[^{}]*\}|\[[^\[\]]*\]|"[^"]*")')


def read_bytes(path):
    with open(path, "rb") as file:
        return file.read()


GOOD = {name: read_bytes(os.path.join(BAD, "good", name)) for name in FILES}


def unescaped(text):
    """The bytes of a line of a table: \\xHH is a byte, everything else UTF-8."""
    return b"".join(bytes([int(part[2:], 16)]) if re.fullmatch(r"\\x[0-9a-f]{2}", part)
                    else part.encode() for part in re.split(r"(\\x[0-9a-f]{2})", text))


class Change:
    """One change of one file."""

    def __init__(self, file):
        self.file, self.old, self.new, self.every = file, [], [], None

    def apply(self, data):
        if self.every:
            return data.replace(*self.every)
        old = b"\n".join(unescaped(line) for line in self.old)
        new = b"\n".join(unescaped(line) for line in self.new)
        if not self.old:
            return new
        if old not in data:
            raise ValueError(f"{self.file} does not hold {old!r}")
        return data.replace(old, new, 1)


class Case:
    def __init__(self, name):
        self.name, self.changes, self.messages, self.ending = name, [], [], "2"

    def files(self):
        """The good files with all changes made."""
        files = dict(GOOD)
        for change in self.changes:
            files[change.file] = change.apply(files[change.file])
        if files == GOOD:
            raise ValueError("this case changes nothing")
        return files

    def command(self):
        model = any(change.file == "model.yaml" for change in self.changes)
        return ("evaluate", "model.yaml") if model else ("reduce", "job.yaml")


def read_table(path):
    cases = []
    with open(path, encoding="utf-8") as file:
        for number, line in enumerate(file.read().splitlines(), 1):
            sign, text = line[:1], line[2:]
            if not line or sign == "#":
                continue
            if line.startswith("== "):
                cases.append(Case(line[3:]))
            elif line in FILES:
                cases[-1].changes.append(Change(line))
            elif sign == "-":
                cases[-1].changes[-1].old.append(text)
            elif sign == "+":
                cases[-1].changes[-1].new.append(text)
            elif sign == "~":
                cases[-1].changes[-1].every = [unescaped(part) for part in text.split(" ")]
            elif sign == "!":
                cases[-1].messages.append(text)
            elif sign == "=":
                cases[-1].ending = text
            else:
                raise ValueError(f"{path}:{number}: this line is of no kind: {line!r}")
    return cases


def lay_out(where, files, outputs):
    for name, data in list(files.items()) + [(name, b"from before\n") for name in outputs]:
        with open(os.path.join(where, name), "wb") as file:
            file.write(data)


def call(case, where, *options):
    command, path = case.command()
    files = ("--result", "r.json", "--pdf", "r.pdf") if command == "reduce" else ()
    return firn(command, *files, *options, path, cwd=where)


def as_lines(messages):
    """JSON messages as the text mode prints them."""
    lines = []
    for m in messages:
        place = "".join(f"{m[key]}:" for key in ("file", "line", "column") if m[key])
        lines.append(f"{place} {m['text']}" if place else m["text"])
    return lines


def refused(tap, case):
    """Exit status 2, exactly these messages, and nothing written; the same as JSON."""
    files = case.files()
    with folder() as where:
        lay_out(where, files, OUTPUTS)
        run = call(case, where)
        tap.status(run, 2)
        tap.equal("messages", run.err.splitlines(), case.messages)
        tap.equal("stdout", run.out, "")
        tap.equal("files", {n: read_bytes(os.path.join(where, n)) for n in os.listdir(where)},
                  {**files, **{name: b"from before\n" for name in OUTPUTS}})
    with folder() as where:
        lay_out(where, files, ())
        run = call(case, where, "--json")
        tap.status(run, 2)
        tap.equal("messages as JSON", as_lines(run.messages()), case.messages)
        tap.equal("their kind", {m["kind"] for m in run.messages()}, {"error"})
        tap.equal("files", sorted(os.listdir(where)), sorted(FILES))


def result_of(case, files):
    with folder() as where:
        lay_out(where, files, ())
        return call(case, where, "--json")


def same(tap, case):
    """The result of the good files, but for the identity of the input."""
    run, good = result_of(case, case.files()), result_of(case, GOOD)
    tap.status(run, 0)
    tap.status(good, 0)
    tap.equal("messages", run.err, "")
    numbers, wanted = (CHANGING.sub("", r.out).splitlines() for r in (run, good))
    tap.equal("lines that differ", [(a, b) for a, b in zip(numbers, wanted) if a != b], [])
    tap.equal("lines", len(numbers), len(wanted))


def computed(tap, case):
    """A result, and in it everything that has to be known."""
    run = result_of(case, case.files())
    tap.status(run, int(case.ending))
    tap.equal("messages", run.err, "")
    told = run.json()["reservations"]
    for message in case.messages:
        tap.true("told", message in told, f"{message!r} is not among {json.dumps(told, indent=1)}")


def try_case(tap, table, case):
    with tap.case(f"{table}: {case.name}"):
        if case.ending == "same":
            same(tap, case)
        elif case.ending == "2":
            refused(tap, case)
        else:
            computed(tap, case)


def write_messages(path):
    """Puts what the program says now in place of what a table expects."""
    cases = {case.name: case for case in read_table(path)}
    out, name = [], None
    with open(path, encoding="utf-8") as file:
        lines = [line for line in file.read().splitlines() if not line.startswith("! ")]
    for line in lines + ["== "]:
        if line.startswith("== "):
            if name is not None and cases[name].ending == "2":
                with folder() as where:
                    lay_out(where, cases[name].files(), ())
                    run = call(cases[name], where)
                while out[-1] == "":
                    out.pop()
                out += ["! " + m for m in run.err.splitlines()]
                out += [] if run.status == 2 else [f"! STATUS {run.status}"]
                out.append("")
            name = line[3:]
        out.append(line)
    with open(path, "w", encoding="utf-8") as file:
        file.write("\n".join(out[:-1]).rstrip("\n") + "\n")


def main():
    tables = sorted(glob.glob(os.path.join(BAD, "*.txt")))
    if "--write" in sys.argv:
        for path in tables:
            write_messages(path)
        return 0
    tap = Tap()
    names = []
    for path in tables:
        table = os.path.splitext(os.path.basename(path))[0]
        for case in read_table(path):
            names.append((table, case.name))
            try_case(tap, table, case)
    with tap.case("the tables"):
        tap.true(f"at least {FEWEST} cases", len(names) >= FEWEST, str(len(names)))
        tap.equal("names that stand twice", sorted({n for n in names if names.count(n) > 1}), [])
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
