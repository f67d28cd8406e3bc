#!/usr/bin/python3
"""Exit status, messages and output files of `firn`, as fixed for every command: 0 done, 1 done but a
check says no, 2 the user's files or command are wrong, 3 the machine failed; a message is
file:line:column: what is wrong; what would be right; output files appear whole or not at all.
"""
import json
import os
import re
import sys

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "support"))
from firn_run import Tap, firn, folder, write  # noqa: E402

SET = os.path.join(HERE, "..", "oracle", "full-2")
MODEL = """kind: measurement model
title: Power in a resistor
inputs:
  V: {value: 4.999, u: 0.0032, unit: V, dof: 4}
  R: {distribution: rectangular, low: 99.9, high: 100.1, unit: ohm}
outputs:
  P: {formula: "V^2/R", unit: W}
"""
PLACE = re.compile(r"^(?P<file>[^\n]*?):(?P<line>\d+):(?P<column>\d+): (?P<text>.+)$", re.M)


def job(name):
    with open(os.path.join(SET, name), encoding="utf-8") as file:
        return file.read()


def copy_set(where, change=lambda name, text: text):
    for name in ("job.yaml", "readings.csv"):
        write(where, name, change(name, job(name)))
    return os.path.join(where, "job.yaml")


def places(run):
    return [(os.path.basename(m["file"]), int(m["line"]), int(m["column"]))
            for m in PLACE.finditer(run.err)]


def column_of(text, part):
    """Line and column, from 1, of the first place where part stands."""
    before = text[:text.index(part)]
    return before.count("\n") + 1, len(before) - (before.rfind("\n") + 1) + 1


def wrong(tap, run, status=2):
    tap.status(run, status)
    tap.equal("stdout", run.out, "")
    tap.true("a message on stderr", len(run.err.strip()) > 10, repr(run.err))


def help_texts(tap):
    with tap.case("--help lists the commands, on stdout"):
        run = firn("--help")
        tap.status(run, 0)
        for command in ("scale", "evaluate", "reduce"):
            tap.true(command, command in run.out, run.out)
        tap.equal("stderr", run.err, "")
    for command, words in (("scale", ["--from-zero", "reference", "--json"]),
                           ("evaluate", ["--json", "--threads"]),
                           ("reduce", ["--json", "--pdf", "--result", "--threads"])):
        with tap.case(f"{command} --help"):
            run = firn(command, "--help")
            tap.status(run, 0)
            tap.equal("stderr", run.err, "")
            for word in words:
                tap.true(word, word in run.out, run.out)


def wrong_commands(tap):
    for args in ([], ["nosuch"], ["evaluate"], ["reduce"], ["evaluate", "a", "b"],
                 ["reduce", "a", "b"], ["evaluate", "--nosuch", "a"], ["reduce", "--pdf"],
                 ["evaluate", "--threads", "x", "a"], ["evaluate", "--threads", "-1", "a"],
                 ["evaluate", "--threads", "0", "a"]):
        with tap.case(f"wrong command: firn {' '.join(args)}"):
            run = firn(*args)
            wrong(tap, run)
    with tap.case("a wrong command as JSON"):
        for args in (["nosuch", "--json"], ["reduce", "--json"], ["evaluate", "--json", "--nosuch"]):
            messages = firn(*args).messages()
            tap.equal(f"{args}: keys", [sorted(m) for m in messages],
                      [["column", "file", "kind", "line", "text"]])


def unreadable(tap):
    with folder() as where:
        fifo = write(where, "empty.yaml", "")
        binary = os.path.join(where, "binary.yaml")
        with open(binary, "wb") as file:
            file.write(bytes(range(256)) * 8)
        latin = os.path.join(where, "latin.yaml")
        with open(latin, "wb") as file:
            file.write(MODEL.replace("Power", "W\u00e4rme").encode("latin-1"))
        files = {"a missing file": os.path.join(where, "missing.yaml"), "a directory": where,
                 "an empty file": fifo, "bytes": binary, "Latin-1": latin,
                 "not YAML": write(where, "bad.yaml", "kind: [measurement model\n"),
                 "a list": write(where, "list.yaml", "- 1\n- 2\n"),
                 "two documents": write(where, "two.yaml", MODEL + "---\n" + MODEL),
                 "another kind": write(where, "kind.yaml", "kind: shopping list\n"),
                 "no kind": write(where, "no.yaml", "title: x\n")}
        for command in ("evaluate", "reduce"):
            for what, path in files.items():
                with tap.case(f"{command}: {what}"):
                    run = firn(command, path)
                    wrong(tap, run)
                    tap.true("the file is named", os.path.basename(path) in run.err, run.err)
                    said = firn(command, "--json", path).messages()
                    tap.true("as JSON", len(said) >= 1 and all(
                        sorted(m) == ["column", "file", "kind", "line", "text"] for m in said),
                        str(said))
                    tap.equal("file", {os.path.basename(m["file"]) for m in said},
                              {os.path.basename(path)})


# What is changed in MODEL, and where the message must point: the part that is wrong.
MODEL_ERRORS = {
    "an undeclared name": ('"V^2/R"', '"V^2/Q*2"', "Q*2"),
    "an unknown function": ('"V^2/R"', '"sinn(V)"', "sinn("),
    "a formula that ends too early": ('"V^2/R"', '"V^2/"', '", unit'),
    "a parenthesis too many": ('"V^2/R"', '"V^2/R)"', ")"),
    "u negative": ("u: 0.0032", "u: -0.0032", "-0.0032"),
    "u no number": ("u: 0.0032", "u: small", "small"),
    "a decimal comma": ("u: 0.0032", 'u: "0,0032"', '"0,0032"'),
    "low above high": ("low: 99.9", "low: 100.2", None),
    "an unknown key": ("unit: V, dof", "unot: V, dof", "unot"),
    "an unknown distribution": ("rectangular", "rectangle", "rectangle"),
    "a key twice": ("u: 0.0032", "u: 0.0032, u: 0.004", "u: 0.004"),
    "dof 0": ("dof: 4", "dof: 0", "0}"),
    "no value": ("value: 4.999, ", "", None),
}


def model_errors(tap):
    for what, (old, new, part) in MODEL_ERRORS.items():
        with tap.case(f"evaluate: {what}"), folder() as where:
            text = MODEL.replace(old, new, 1)
            tap.true("the test changes the file", text != MODEL)
            run = firn("evaluate", write(where, "m.yaml", text))
            wrong(tap, run)
            found = places(run)
            tap.true("file, line and column", found and found[0][0] == "m.yaml", run.err)
            tap.true("says what would be right", "; " in run.err, run.err)
            if part is not None:
                from_here = text.index(new)
                line, column = column_of(text[from_here:], part)
                line0, column0 = column_of(text, new)
                tap.true(f"points at {part}",
                         ("m.yaml", line0 + line - 1, column + (column0 - 1) * (line == 1)) in found,
                         run.err)
    with tap.case("evaluate: all errors come at once, in the order of the file"), folder() as where:
        text = (MODEL.replace("u: 0.0032", "u: small").replace("low: 99.9", "low: here")
                .replace("unit: W", "unity: W"))
        path = write(where, "m.yaml", text)
        run = firn("evaluate", path)
        wrong(tap, run)
        want = [("m.yaml", *column_of(text, part)) for part in ("small", "here", "unity")]
        tap.equal("places", places(run), want)
        messages = firn("evaluate", "--json", path).messages()
        tap.equal("the same as JSON", [(m["line"], m["column"]) for m in messages],
                  [w[1:] for w in want])


def job_errors(tap):
    for what, name, old, new, part in (
        ("a point that is none", "job.yaml", "point: Sn", "point: Si", "Si"),
        ("a cell that is not there", "job.yaml", "cell: SN,", "cell: SM,", "SM,"),
        ("a visit to divide by that is not there", "job.yaml", "tpw: 9}", "tpw: 99}", "99"),
        ("depth no number", "job.yaml", "depth_m: 0.175", "depth_m: deep", "deep"),
        ("a ratio no number", "readings.csv", "0.482188122", "0.4821x", "0.4821x"),
        ("a reading of no visit", "readings.csv", ",2,1.0,0.482188122", ",222,1.0,0.482188122", "222"),
        ("a current of 0", "readings.csv", ",2,1.0,0.482188122", ",2,0,0.482188122", "0,0.482"),
        ("a row too short", "readings.csv", ",2,1.0,0.482188122,20.032", ",2,1.0", None),
        ("a column unknown", "readings.csv", "bath_C", "bath_F", "bath_F"),
    ):
        with tap.case(f"reduce: {what}"), folder() as where:
            def change(file, text, name=name, old=old, new=new):
                return text.replace(old, new, 1) if file == name else text
            path = copy_set(where, change)
            text = change(name, job(name))
            tap.true("the test changes the file", text != job(name))
            run = firn("reduce", path)
            wrong(tap, run)
            found = places(run)
            tap.true("file, line and column", any(p[0] == name for p in found), run.err)
            if part is not None:
                line, column = column_of(text[text.index(new):], part)
                line0, column0 = column_of(text, new)
                want = (name, line0 + line - 1, column + column0 - 1)
                tap.true(f"points at {part}: {want}", want in found, run.err)
    with tap.case("reduce: readings missing, or a directory"), folder() as where:
        path = copy_set(where)
        os.remove(os.path.join(where, "readings.csv"))
        wrong(tap, firn("reduce", path))
        os.mkdir(os.path.join(where, "readings.csv"))
        run = firn("reduce", path)
        wrong(tap, run)
        tap.true("the file is named", "readings.csv" in run.err, run.err)


def output_files(tap):
    with tap.case("reduce --result and --pdf write whole files"), folder() as where:
        path = copy_set(where)
        result, pdf = os.path.join(where, "r.json"), os.path.join(where, "r.pdf")
        run = firn("reduce", "--result", result, "--pdf", pdf, path)
        tap.status(run, 0)
        with open(result, encoding="utf-8") as file:
            tap.equal("kind", json.load(file)["kind"], "fixed-point calibration result")
        with open(pdf, "rb") as file:
            data = file.read()
        tap.true("a PDF from end to end", data.startswith(b"%PDF-") and b"%%EOF" in data[-32:])
        tap.equal("nothing else is left", sorted(os.listdir(where)),
                  ["job.yaml", "r.json", "r.pdf", "readings.csv"])
    with tap.case("the file and stdout hold the same result"), folder() as where:
        path, result = copy_set(where), os.path.join(where, "r.json")
        shown = firn("reduce", "--json", path)
        tap.status(firn("reduce", "--result", result, path), 0)
        with open(result, encoding="utf-8") as file:
            tap.true("equal", file.read() == shown.out)
    with tap.case("a failure leaves the files that were there"), folder() as where:
        path = copy_set(where, lambda name, text: text.replace("point: Sn", "point: Si"))
        for name in ("r.json", "r.pdf"):
            write(where, name, "from before\n")
        run = firn("reduce", "--result", os.path.join(where, "r.json"), "--pdf",
                   os.path.join(where, "r.pdf"), path)
        wrong(tap, run)
        for name in ("r.json", "r.pdf"):
            with open(os.path.join(where, name), encoding="utf-8") as file:
                tap.equal(name, file.read(), "from before\n")
        tap.equal("nothing else is left", sorted(os.listdir(where)),
                  ["job.yaml", "r.json", "r.pdf", "readings.csv"])
    with tap.case("a success replaces the files that were there"), folder() as where:
        path = copy_set(where)
        result = write(where, "r.json", "x" * 10 ** 6)
        tap.status(firn("reduce", "--result", result, path), 0)
        with open(result, encoding="utf-8") as file:
            tap.equal("schema", json.load(file)["schema"], 1)
    for option in ("--result", "--pdf"):
        for what, tail in (("a folder that is not there", ("none", "r")),
                           ("a file taken for a folder", ("job.yaml", "r")), ("a folder", ())):
            with tap.case(f"{option} into {what}"), folder() as where:
                path = copy_set(where)
                target = os.path.join(where, "out") if not tail else os.path.join(where, *tail)
                if not tail:
                    os.mkdir(target)
                run = firn("reduce", option, target, path)
                tap.true("status 2 or 3", run.status in (2, 3), run.describe())
                tap.true("the target is named", target in run.err, run.err)
                want = ["job.yaml", "readings.csv"] + ([] if tail else ["out"])
                tap.equal("nothing is left", sorted(os.listdir(where)), sorted(want))
                if not tail:
                    tap.equal("nothing in it", os.listdir(target), [])


def full_device(tap):
    name = "stdout on a full device is a failure of the machine"
    if not os.path.exists("/dev/full"):
        tap.skip(name, "no /dev/full here")
        return
    with tap.case(name), folder() as where:
        path = write(where, "m.yaml", MODEL)
        for args in (["evaluate", path], ["evaluate", "--json", path], ["scale", "points"],
                     ["scale", "reference", "300"], ["reduce", copy_set(where)], ["--help"]):
            with open("/dev/full", "w", encoding="utf-8") as full:
                run = firn(*args, stdout=full)
            tap.status(run, 3)
            tap.true(f"a message: {args[:2]}", len(run.err.strip()) > 5, repr(run.err))


def acceptance(tap):
    """A thermometer that meets neither W(Ga) >= 1.11807 nor W(Hg) <= 0.844235 (ITS-90 text, 3.3; one
    of them would be enough)."""
    with tap.case("a criterion not met: everything is written, exit status 1"), folder() as where:
        other = {"0.284874333": "0.284274333", "0.284879471": "0.284279471",
                 "0.215083483": "0.215283483", "0.215087796": "0.215287796",
                 "0.215083475": "0.215283475"}

        def change(name, text):
            for old, new in other.items():
                text = text.replace(old, new) if name == "readings.csv" else text
            return text
        path, result = copy_set(where, change), os.path.join(where, "r.json")
        run = firn("reduce", "--result", result, path)
        tap.status(run, 1)
        with open(result, encoding="utf-8") as file:
            found = json.load(file)
        tap.true("it stands in the result", any(
            "Ga" in a["name"] and a["value"] < a["limit"] == 1.11807 for a in found["acceptance"]),
            str(found["acceptance"])[:500])


# one more of a fault, on a line of its own, and how its messages begin
MANY = {
    "unknown keys": ("weather{}: 1\n", "no key"),
    "keys that stand twice": ("title: x\n", "stands twice"),
    "aliases": ("a{}: *b\n", "aliases (*name)"),
    "tags": ("a{}: !b c\n", "tags (!...)"),
}


def many_faults(tap):
    for what, (line, text) in MANY.items():
        with tap.case(f"20000 faults: {what}"), folder() as where:
            path = write(where, "m.yaml", MODEL + "".join(line.format(i) for i in range(20000)))
            run = firn("evaluate", path)
            wrong(tap, run)
            alike = [x for x in run.err.splitlines() if text in x]
            tap.equal("told", len(alike), 21)
            tap.true("the others are counted", ": and 19980 more like this from here on: " in
                     alike[20], alike[20])
            tap.equal("the same as JSON", len(firn("evaluate", "--json", path).messages()),
                      len(run.err.splitlines()))
    with tap.case("200 inputs that are wrong each"), folder() as where:
        inputs = "".join(f"  x{i}: {{value: a}}\n" for i in range(200))
        path = write(where, "m.yaml", MODEL.replace("outputs:", inputs + "outputs:"))
        run = firn("evaluate", path)
        wrong(tap, run)
        # each is no number, which is an error, and has no u, which is a reservation
        tap.equal("told", len(run.err.splitlines()), 2*21)


HARDLY = "degrees of freedom"


def few_degrees_of_freedom(tap):
    """u known to 100 % has 0.5 of them (JCGM 100:2008, equation (G.3)): accepted, and told."""
    with folder() as where, tap.case("evaluate: a result with fewer than 1 degree of freedom"):
        path = write(where, "m.yaml", MODEL.replace("dof: 4", "dof: 0.5"))
        run = firn("evaluate", path)
        tap.status(run, 0)
        tap.true("text", "fewer than 1, u is hardly known" in " ".join(run.out.split()), run.out)
        found = firn("evaluate", "--json", path).json()
        tap.equal("reservations", [HARDLY in x for x in found["reservations"]], [True])
        run = firn("evaluate", write(where, "m.yaml", MODEL.replace("dof: 4", "dof: 1")))
        tap.true("none with 1", "hardly" not in run.out, run.out)
    with tap.case("reduce: u(t) with fewer than 1 degree of freedom"), folder() as where:
        said = {}
        for dof in ("0.5", "1"):
            good = os.path.join(HERE, "bad", "good")
            for name in ("job.yaml", "readings.csv"):
                with open(os.path.join(good, name), encoding="utf-8") as file:
                    write(where, name, file.read().replace(
                        "Sn, u_cell_mK: 0.2", f"Sn, u_cell_mK: 5, dof: {dof}"))
            run = firn("reduce", "--json", os.path.join(where, "job.yaml"))
            said[dof] = [x for x in run.json()["reservations"] if HARDLY in x]
        tap.equal("told once", len(said["0.5"]), 1)
        tap.equal("not with 1", said["1"], [])


def main():
    tap = Tap()
    few_degrees_of_freedom(tap)
    many_faults(tap)
    help_texts(tap)
    wrong_commands(tap)
    unreadable(tap)
    model_errors(tap)
    job_errors(tap)
    output_files(tap)
    full_device(tap)
    acceptance(tap)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
