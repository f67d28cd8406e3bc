#!/usr/bin/python3
"""The command line itself: each message names what is wrong and what would be right, `--` ends the
options of every command, and no input makes the list of messages grow without end.
"""
import os
import sys

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "support"))
from firn_run import Tap, firn, folder, write  # noqa: E402

MODEL = """kind: measurement model
title: A length
inputs:
  l: {value: 1.5, u: 0.01, unit: m}
outputs:
  L: {formula: "2*l", unit: m}
"""
PDF = "(Write the certificate, or a draft, as PDF)"
WHOLE = "it is a whole number from"
OPTIONS = ("--pdf, --result, --explain, --monte-carlo, --json, --threads, --help; a file whose "
           "name begins with a minus stands behind --")
# what is typed, and all that is said
WRONG = (
    (["--pdf"], "'--pdf' stands where a command belongs; firn COMMAND ..., and firn --help lists "
                "the commands"),
    (["--", "reduce"], "'--' stands where a command belongs; firn COMMAND ..., and firn --help "
                       "lists the commands"),
    (["scal"], "there is no command 'scal'; did you mean scale?"),
    (["measure"], "there is no command 'measure'; firn --help lists them"),
    (["reduce"], "a file is missing; firn reduce takes the YAML file of a fixed-point calibration"),
    (["reduce", ""], "the name of the file is empty; firn reduce takes the YAML file of a "
                     "fixed-point calibration"),
    (["evaluate", "--"], "a file is missing; firn evaluate takes the YAML file of a measurement "
                         "model"),
    (["evaluate", "a", "b"], "2 files are given; firn evaluate takes one, the YAML file of a "
                             "measurement model"),
    (["reduce", "--jsn", "j"], "there is no option --jsn; did you mean --json?"),
    (["reduce", "-json", "j"], "there is no option -json; did you mean --json?"),
    (["reduce", "--plot", "j"], f"there is no option --plot; firn reduce has {OPTIONS}"),
    (["reduce", "-x.yaml"], f"there is no option -x.yaml; firn reduce has {OPTIONS}"),
    (["reduce", "--pdf"], f"--pdf has no value; write --pdf FILE {PDF}"),
    (["reduce", "--pdf", "--", "j"], f"--pdf has no value; write --pdf FILE {PDF}"),
    (["reduce", "--pdf", "--result", "r.json", "j"],
     f"--pdf has no value, for --result comes next; write --pdf FILE {PDF}"),
    (["reduce", "--pdf=", "j"], f"the value of --pdf is empty; write --pdf FILE {PDF}"),
    (["reduce", "--pdf", "", "j"], f"the value of --pdf is empty; write --pdf FILE {PDF}"),
    (["reduce", "--pdf=a", "--pdf", "b", "j"], "--pdf stands twice; give it once"),
    (["reduce", "--help=j"], "--help takes no value; write it alone"),
    (["reduce", "--threads", "x", "j"], f"--threads is 'x'; {WHOLE} 1 to 1024, in digits"),
    (["reduce", "--threads", "0", "j"], f"--threads is '0'; {WHOLE} 1 to 1024, in digits"),
    (["reduce", "--threads=-1", "j"], f"--threads is '-1'; {WHOLE} 1 to 1024, in digits"),
    (["reduce", "--monte-carlo", "1e6", "j"],
     f"--monte-carlo is '1e6'; {WHOLE} 1000 to 1000000000, in digits"),
    (["reduce", "--monte-carlo", "0", "j"],
     f"--monte-carlo is '0'; {WHOLE} 1000 to 1000000000, in digits"),
    (["reduce", "--explain", "visit.1.W", "--pdf", "p", "j"],
     "--explain prints one number as text and makes nothing else; leave --pdf for a run without "
     "it"),
    (["reduce", "--explain", "visit.1.W", "--monte-carlo", "1000", "j"],
     "--explain prints one number as text and makes nothing else; leave --monte-carlo for a run "
     "without it"),
    (["scale"], "scale needs a function, such as firn scale reference 273.16; firn scale --help "
                "lists them"),
    (["scale", "refrence"], "there is no scale function 'refrence'; did you mean reference?"),
    (["scale", "points", "5"], "points takes no values; firn scale points lists all fixed points"),
    (["scale", "inverse", "-0.5"], "-0.5 begins like an option; before values with a minus put --, "
                                   "as in firn scale ... -- -0.5"),
    (["scale", "inverse", "1,5"], "argument:1:1: '1,5' is no number; the decimal sign is a point"),
    (["schema", "nosuch"], "there is no schema of kind 'nosuch'; firn schema lists the kinds"),
    (["convert"], "convert needs a calibration; give --with and the JSON that firn reduce --result "
                  "wrote"),
    (["convert", "--with", "r", "--from", "volt"],
     "--from is 'volt'; it is one of w, ratio and ohm"),
)


def wrong_options(tap):
    for args, said in WRONG:
        with tap.case(f"firn {' '.join(args)}"):
            run = firn(*args)
            tap.status(run, 2)
            tap.equal("stdout", run.out, "")
            tap.equal("stderr", run.err, said + "\n")
    with tap.case("no command"):
        run = firn()
        tap.status(run, 2)
        tap.true("says so", run.err.startswith("A command is missing"), run.err)
    with tap.case("a wrong option as JSON, unless --json stands behind --"):
        tap.equal("text", firn("evaluate", "--nosuch", "--json").messages()[0]["kind"], "error")
        run = firn("evaluate", "--nosuch", "--", "--json")
        tap.true("no JSON", run.err.startswith("there is no option --nosuch"), run.err)


def end_of_options(tap):
    with folder() as where:
        for name in ("-x.yaml", "--json", "--", "x.yaml"):
            write(where, name, MODEL)
            with tap.case(f"evaluate -- {name}"):
                run = firn("evaluate", "--", name, cwd=where)
                tap.status(run, 0)
                tap.true("evaluated", "L = 3.000 m" in run.out, run.out)
        with tap.case("evaluate --json -- --json"):
            run = firn("evaluate", "--json", "--", "--json", cwd=where)
            tap.equal("value", run.json()["outputs"]["L"]["value"], 3.0)
        with tap.case("reduce -- -x.yaml"):
            run = firn("reduce", "--", "-x.yaml", cwd=where)
            tap.status(run, 2)
            tap.true("the file is read", run.err.startswith("-x.yaml:1:7: kind is"), run.err)
    with tap.case("scale: the -- before or behind the function"):
        want = firn("scale", "reference", "273.16")
        for args in (["--", "reference", "273.16"], ["reference", "--", "273.16"],
                     ["reference", "273.16", "--"]):
            tap.equal(str(args), firn("scale", *args).out, want.out)
    with tap.case("schema -- KIND"):
        tap.equal("the same", firn("schema", "--", "readings").out, firn("schema", "readings").out)
        tap.equal("the list", firn("schema", "--").out, firn("schema").out)
    with tap.case("convert -- FILE"):
        run = firn("convert", "--with", "r.json", "--", "--json")
        tap.status(run, 2)
        tap.true("told as a file", "takes no file, got --json" in run.err, run.err)


def many_wrong_values(tap):
    for what, line in (("no numbers", "abc"), ("out of range", "5000")):
        with tap.case(f"scale: a thousand values that are {what}"):
            run = firn("scale", "reference", stdin=f"{line}\n" * 1000 + "273.16\n")
            tap.status(run, 2)
            lines = run.err.splitlines()
            tap.equal("told", len(lines), 21)
            tap.equal("the last", lines[-1], "and 980 more values were wrong")
            tap.equal("and what is right", run.out, firn("scale", "reference", "273.16").out)
            run = firn("scale", "--json", "reference", stdin=f"{line}\n" * 1000)
            tap.equal("as JSON", [m["text"] for m in run.messages()][20:],
                      ["and 980 more values were wrong"])
    with tap.case("scale: twenty wrong values are all told"):
        run = firn("scale", "reference", stdin="abc\n" * 20)
        tap.equal("told", len(run.err.splitlines()), 20)


def main():
    tap = Tap()
    wrong_options(tap)
    end_of_options(tap)
    many_wrong_values(tap)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
