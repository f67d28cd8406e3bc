#!/usr/bin/python3
"""`firn convert`: W, ratios and ohm to temperatures by a result of `firn reduce`.

Temperatures are held to those of the result itself, which stand on another road: the tape of the
reduction. Uncertainties likewise. The mistakes refused here (an R(TPW) from the certificate, R(0
degC) for R(0.01 degC), a temperature beyond the points) are described in CCT Guide to the
Realization of the ITS-90, ch. 5 (2018), sections 4.4.1 to 4.4.3.
"""
import csv
import datetime
import io
import json
import math
import os
import struct
import subprocess
import sys

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "support"))
from firn_run import Tap, firn, folder, program, write  # noqa: E402

EXAMPLES = os.path.join(HERE, "..", "..", "examples")
SETS = ["long-stem-25-ohm", "high-temperature", "capsule-25-ohm", "hundred-ohm"]
ADDED = ["t90_K", "t90_C", "u_calibration_K", "subrange"]
DATE = "2032-01-05"  # after every example


def results(where):
    """name -> (path of the result, its JSON)"""
    made = {}
    for name in SETS + ["fails-the-criterion"]:
        path = os.path.join(where, name + ".json")
        firn("reduce", os.path.join(EXAMPLES, name, "job.yaml"), "--result", path)
        with open(path, encoding="utf-8") as file:
            made[name] = path, json.load(file)
    return made


def convert(path, *args, stdin):
    return firn("convert", "--with", path, *args, stdin=stdin)


def exactly(path, *args, stdin):
    """With every digit."""
    return convert(path, "--exact-digits", *args, stdin=stdin)


def rows(run):
    return list(csv.DictReader(io.StringIO(run.out)))


def column(values, name="W"):
    return name + "\n" + "".join(f"{x!r}\n" for x in values)


def change(where, path, edit):
    """The result at path with something changed in its JSON."""
    with open(path, encoding="utf-8") as file:
        result = json.load(file)
    edit(result)
    return write(where, "changed.json", json.dumps(result, indent=2))


def against_the_result(tap, made):
    for name in SETS:
        path, result = made[name]
        for curve in result["curves"]:
            subrange = curve["subrange"]
            with tap.case(f"{name}, {subrange}: T90 and u as the reduction has them"):
                run = exactly(path, "--subrange", subrange,
                              stdin=column([p["w"] for p in curve["points"]]))
                tap.status(run, 0)
                tap.equal("stderr", run.err, "")
                got = rows(run)
                tap.equal("lines", len(got), len(curve["points"]))
                for row, point in zip(got, curve["points"]):
                    # W of the table is a root within 1e-9 relative steps and rounds: 2 ulp of T90
                    tap.near("t90_K", float(row["t90_K"]), point["t90_K"], 5e-13)
                    tap.near("t90_C", float(row["t90_C"]), point["t90_K"] - 273.15, 5e-13)
                    tap.equal("subrange", row["subrange"], subrange)
                    # e-H2_H2O: the sum over the covariance cancels by four orders of magnitude
                    u = point["u_calibration_K"]
                    tap.near("u", float(row["u_calibration_K"]), u,
                             (1e-4 if subrange == "e-H2_H2O" else 1e-8) * u + 1e-15)
        for t in result["temperatures"]:
            with tap.case(f"{name}: visit {t['visit']} by {t['subrange']}"):
                run = exactly(path, "--subrange", t["subrange"], stdin=column([t["w"]]))
                tap.status(run, 0)
                row = rows(run)[0]
                tap.near("t90_K", float(row["t90_K"]), t["t90_K"]["value"], 3e-13)
                tap.near("u", float(row["u_calibration_K"]), t["t90_K"]["u_calibration"],
                         1e-6 * t["t90_K"]["u_calibration"])


def digits(tap, made):
    path, result = made["long-stem-25-ohm"]
    with tap.case("seven decimals: the exact digits rounded, and nothing else changes"):
        values = [0.3 + i / 300 for i in range(900)] + [9.0, 1.0, math.nan]
        text = "time,W,current_mA\n" + "".join(
            f"{i}.500,{'' if math.isnan(w) else repr(w)},1.00\n" for i, w in enumerate(values))
        fixed, exact = convert(path, stdin=text), exactly(path, stdin=text)
        tap.equal("stderr", fixed.err, exact.err)
        tap.equal("status", fixed.status, exact.status)
        tap.equal("lines", len(fixed.out.splitlines()), len(values) + 1)
        for got, row, given in zip(fixed.out.splitlines()[1:], rows(exact), text.splitlines()[1:]):
            numbers = [row[name] and f"{float(row[name]):.7f}" for name in ADDED[:3]]
            tap.equal("line", got, ",".join([given, *numbers, row["subrange"]]))
        # the shortest text that reads back, as Python has it too
        tap.equal("exact digits", [row["t90_K"] for row in rows(exact) if row["t90_K"]],
                  [repr(float(row["t90_K"])) for row in rows(exact) if row["t90_K"]])


def choice(tap, made):
    path, _ = made["long-stem-25-ohm"]
    with tap.case("without --subrange: the narrowest that holds each value, and it is said"):
        run = convert(path, stdin=column([0.5, 1.05, 1.7, 2.0, 3.0]))
        tap.status(run, 0)
        tap.equal("subranges", [r["subrange"] for r in rows(run)],
                  ["Ar_H2O", "H2O_In", "H2O_Sn", "H2O_Zn", "H2O_Al"])
        tap.true("said", "narrowest" in run.err and "--subrange" in run.err, run.err)
    with tap.case("nothing is said where a value lies in one only, or a subrange is named"):
        for args, values in (((), [0.5, 3.0]), (("--subrange", "H2O_Al"), [1.05, 2.0])):
            run = convert(path, *args, stdin=column(values))
            tap.status(run, 0)
            tap.equal("stderr", run.err, "")
    with tap.case("a subrange that isn't there: the message names those that are"):
        run = convert(path, "--subrange", "H2O_Ga", stdin=column([1.05]))
        tap.status(run, 2)
        tap.equal("stdout", run.out, "")
        for name in ("Ar_H2O", "H2O_In", "H2O_Al"):
            tap.true(name, name in run.err, run.err)


def csv_forms(tap, made):
    path, _ = made["long-stem-25-ohm"]
    with tap.case("lines come out as they went in: quotes, blanks, empty values, CR LF, remarks"):
        text = ('# a remark, with a "quote\r\ntime, note ,W\r\n1,"a, ""b""\r\nc",1.5\r\n'
                "2,, 1.25 \r\n3,x,\r\n")
        run = convert(path, "--subrange", "H2O_Al", stdin=text)
        tap.status(run, 0)
        want = text.replace("W\r\n", "W," + ",".join(ADDED) + "\r\n")
        got = run.out.split("\r\n")
        tap.equal("lines", len(got), 7)
        tap.equal("remark and header", got[:2], want.split("\r\n")[:2])
        tap.equal("quoted", got[2], '1,"a, ""b""')
        tap.true("goes on", got[3].startswith('c",1.5,401.02'), got[3])
        tap.true("blanks stay", got[4].startswith("2,, 1.25 ,"), got[4])
        tap.equal("no value", got[5], "3,x,,,,,")
    with tap.case("empty lines stay where they are"):
        run = convert(path, "--subrange", "H2O_Al", stdin="W\n\n1.5\n\n\n1.6\n\n")
        tap.status(run, 0)
        tap.equal("first fields", [line.split(",")[0] for line in run.out.split("\n")],
                  ["W", "", "1.5", "", "", "1.6", "", ""])
    with tap.case("one long line, and a last line without its end"):
        run = convert(path, "--subrange", "H2O_Al", stdin="x,W\n" + "y" * 700000 + ",1.5")
        tap.status(run, 0)
        tap.true("converted", run.out.split("\n")[1].split(",")[2].startswith("401.02"))
    with tap.case("a record beyond 1 MB is refused where it begins"):
        run = convert(path, stdin='x,W\n1,1.5\n"' + "y" * 1500000 + "\n")
        tap.status(run, 2)
        tap.true("place", "stdin:3:1: " in run.err, run.err[:300])
    with tap.case("--column takes another column, and says what it is"):
        text = "a,b\n1.25,1.5\n"
        for args, status in ((("--column", "b", "--from", "w"), 0), (("--column", "b"), 2),
                             (("--column", "c", "--from", "w"), 2), ((), 2)):
            run = convert(path, *args, stdin=text)
            tap.status(run, status)
            tap.equal("something on stdout", run.out != "", status == 0)
        run = convert(path, "--column", "b", "--from", "w", stdin=text)
        tap.true("b", rows(run)[0]["t90_K"].startswith("401.02"), run.out)
    for header in ("W,W", "W,t90_K", "subrange,W"):
        with tap.case(f"a column that would stand twice: {header}"):
            run = convert(path, stdin=header + "\n1.5,1.5\n")
            tap.status(run, 2)
            tap.equal("stdout", run.out, "")
            tap.true("said", "twice" in run.err, run.err)
    with tap.case("two columns that could be meant: asked back"):
        run = convert(path, stdin="W,ratio\n1.5,0.3\n")
        tap.status(run, 2)
        tap.true("--from", "--from" in run.err, run.err)
    for what, text in (("nothing", ""), ("remarks only", "# x\n"), ("no header", "1.5\n1.6\n"),
                       ("semicolons", "t;W\n1;1,5\n"), ("a stray quote", 'W,a"b\n1.5,\n')):
        with tap.case(f"no header to go by: {what}"):
            run = convert(path, stdin=text)
            tap.status(run, 2)
            tap.equal("stdout", run.out, "")
            tap.true("a place", run.err.startswith("stdin:"), run.err)


def wrong_lines(tap, made):
    path, _ = made["long-stem-25-ohm"]
    text = "t,W\n1,1.5\n2,warm\n3,1;5\n4,9\n5,-1\n6\n7,1.6\n"
    with tap.case("bad lines: an empty value each, a message with its place, and the rest done"):
        run = convert(path, "--json", "--subrange", "H2O_Al", stdin=text)
        tap.status(run, 2)
        got = run.out.splitlines()
        tap.equal("lines", len(got), 8)
        for i in (2, 3, 4, 5, 6):
            tap.equal(f"line {i + 1}", got[i], text.splitlines()[i] + ",,,,")
        for i in (1, 7):
            tap.true(f"line {i + 1}", got[i].endswith(",H2O_Al"), got[i])
        tap.equal("places", [(m["kind"], m["file"], m["line"], m["column"]) for m in run.messages()],
                  [("error", "stdin", 3, 3), ("error", "stdin", 4, 3), ("error", "stdin", 5, 3),
                   ("error", "stdin", 6, 3), ("error", "stdin", 7, 1)])
        for m in run.messages():
            tap.true("it says what would be right", ";" in m["text"], m["text"])
    with tap.case("beyond the ends: refused from 0.01 mK on, and not before"):
        al = [c for c in made["long-stem-25-ohm"][1]["curves"] if c["subrange"] == "H2O_Al"][0]
        for point, outwards in ((al["points"][0], -1), (al["points"][-1], 1)):
            for beyond_K, status in ((5e-6, 0), (2e-5, 2), (0.05, 2), (5.0, 2)):
                w = point["w"] + outwards * beyond_K * point["dw_per_K"]
                run = convert(path, "--subrange", "H2O_Al", stdin=column([w]))
                tap.status(run, status)
                tap.equal("no value", rows(run)[0]["t90_K"] == "", status == 2)
    with tap.case("a hundred bad lines: twenty told, the rest counted"):
        run = convert(path, stdin="W\n" + "9\n" * 100 + "1.5\n")
        tap.status(run, 2)
        tap.equal("lines out", len(run.out.splitlines()), 102)
        tap.equal("told", run.err.count("stdin:"), 20)
        tap.true("counted", "80 more" in run.err, run.err[-300:])
    with tap.case("places are right beyond the first block and the first chunk"):
        n = 60000
        text = "note,W\n" + '"two\nlines",1.5\n' * n + "x,9\n"
        run = convert(path, "--json", "--subrange", "H2O_Al", stdin=text)
        tap.status(run, 2)
        tap.equal("places", [(m["line"], m["column"]) for m in run.messages()], [(2 * n + 2, 3)])
        tap.equal("values", run.out.count(",H2O_Al\n"), n)


def own_r_tpw(tap, made):
    path, result = made["long-stem-25-ohm"]
    known = result["r_tpw"]["sequence"][0]["ohm"]["value"]
    own = known * (1 + 3e-7)
    water = [v for v in result["visits"] if v["point"] == "H2O"][0]
    rs = water["rs_ohm"]["value"]
    with tap.case("ohm, and ratios, by one's own R(TPW): W is the quotient"):
        values = [1.5, 2.0, 3.1]
        want = rows(exactly(path, "--subrange", "H2O_Al", stdin=column(values)))
        for args, head, per_w in (
                (["--r-tpw-ohm", repr(own)], "resistance_ohm", own),
                (["--r-tpw-ratio", repr(own / rs)], "ratio", own / rs),
                (["--r-tpw-ohm", repr(own), "--resistor-ohm", repr(rs)], "ratio", own / rs)):
            run = exactly(path, "--subrange", "H2O_Al", "--r-tpw-date", DATE, *args,
                          stdin=column([w * per_w for w in values], head))
            tap.status(run, 0)
            tap.equal("stderr", run.err, "")
            for a, b in zip(rows(run), want):
                tap.near("t90_K", float(a["t90_K"]), float(b["t90_K"]), 1e-12)
    ohm = ["--from", "ohm", "--column", "x"]
    ratio = ["--from", "ratio", "--column", "x"]
    with tap.case("a date of the place may lie one day before that of the last reading in UTC"):
        last = datetime.date.fromisoformat(result["last_reading"][:10])
        for days, status in ((0, 0), (1, 0), (2, 2)):
            day = (last - datetime.timedelta(days=days)).isoformat()
            run = convert(path, "--subrange", "H2O_Al", *ohm, "--r-tpw-ohm", repr(own),
                          "--r-tpw-date", day, stdin=column([1.5 * own], "x"))
            tap.equal(f"{days} days before", run.status, status)
    dated = ["--r-tpw-date", DATE]
    refusals = [
        ("no R(TPW), ohm", ohm, "--r-tpw-ohm"),
        ("no R(TPW), ratio", ratio, "--r-tpw-ratio"),
        ("no date", ohm + ["--r-tpw-ohm", repr(own)], "--r-tpw-date"),
        ("a date that is none", ohm + ["--r-tpw-ohm", repr(own), "--r-tpw-date", "5.1.2032"],
         "year-month-day"),
        ("older than the calibration",
         ohm + ["--r-tpw-ohm", repr(own), "--r-tpw-date", "2031-03-01"], "before"),
        ("a ratio with ohm and no resistor", ratio + dated + ["--r-tpw-ohm", repr(own)],
         "--resistor-ohm"),
        ("ohm with a ratio", ohm + dated + ["--r-tpw-ratio", "0.25"], "--r-tpw-ohm"),
        ("both", ratio + dated + ["--r-tpw-ohm", repr(own), "--r-tpw-ratio", "0.25"], "twice"),
        ("W with an R(TPW)", ["--from", "w", "--column", "x"] + dated +
         ["--r-tpw-ohm", repr(own)], "already"),
        ("another thermometer", ohm + dated + ["--r-tpw-ohm", "100.01"], result["thermometer"]["id"]),
        ("a ratio as ohm", ohm + dated + ["--r-tpw-ohm", repr(own / rs)], "in ohm"),
        ("nothing at all", ohm + dated + ["--r-tpw-ohm", "0"], "above 0"),
        ("no number", ohm + dated + ["--r-tpw-ohm", "25,4786"], "number"),
        ("R(0 degC) by its option", ohm + dated + ["--r0-ohm", "25.4776"], "0.01 degC"),
    ]
    for visit in result["r_tpw"]["sequence"]:
        for digits in (5, 6, 7, 9):
            refusals.append((f"the certificate's, visit {visit['visit']}, {digits} decimals",
                             ohm + dated + ["--r-tpw-ohm", f"{visit['ohm']['value']:.{digits}f}"],
                             "calibration"))
    refusals += [
        ("the certificate's, every digit", ohm + dated + ["--r-tpw-ohm", repr(known)],
         "calibration"),
        ("the same as a ratio", ratio + dated +
         ["--r-tpw-ratio", repr(water["r_ohm"]["value"] / rs)], "calibration"),
        ("the calibration's mean reading", ratio + dated +
         ["--r-tpw-ratio", repr(water["currents"][0]["mean"])], "calibration"),
        ("the calibration's R at zero current", ohm + dated +
         ["--r-tpw-ohm", repr(water["r0_ohm"]["value"])], "calibration"),
    ]
    for what, args, word in refusals:
        with tap.case(f"R(TPW) refused: {what}"):
            run = convert(path, *args, stdin=f"x\n{own * 1.5!r}\n")
            tap.status(run, 2)
            tap.equal("stdout", run.out, "")
            tap.true(f"'{word}' in the message", word in run.err, run.err)
    with tap.case("a number beside those of the certificate is one's own"):
        run = convert(path, *ohm, *dated, "--r-tpw-ohm", f"{known + 2.1e-6:.8f}",
                      stdin=f"x\n{own * 1.5!r}\n")
        tap.status(run, 0)
    with tap.case("0.99996 of the certificate's: converted, and remarked on"):
        run = convert(path, *ohm, *dated, "--r-tpw-ohm", repr(known * 0.9999601),
                      "--subrange", "H2O_Al", stdin=f"x\n{own * 1.5!r}\n")
        tap.status(run, 0)
        tap.true("remark", "0 degC" in run.err, run.err)
    for name in ("W_ice", "R/R0", "W(0 degC)", "ratio_0C", "R(0 °C)"):
        with tap.case(f"a column that refers to R(0 degC): {name}"):
            run = convert(path, "--from", "w", "--column", name, stdin=f"{name}\n1.5\n")
            tap.status(run, 2)
            tap.equal("stdout", run.out, "")
            tap.true("why", "0.01 degC" in run.err, run.err)
    for name in ("W(0.01 °C)", "device_0_W", "ch0_current", "price"):
        with tap.case(f"a column that doesn't: {name}"):
            run = convert(path, "--from", "w", "--column", name, stdin=f"{name}\n3.1\n")
            tap.status(run, 0)


def binary(tap, made):
    path, result = made["long-stem-25-ohm"]
    values = [1.5, 0.5, 9.0, math.nan, 3.0] + [1 + i / 5000 for i in range(10000)]
    with tap.case("--binary: float64 in, float64 out, NaN where there is no answer"):
        done = subprocess.run([program(), "convert", "--with", path, "--binary"],
                              input=struct.pack(f"<{len(values)}d", *values), capture_output=True,
                              check=False)
        tap.equal("status", done.returncode, 2)
        got = struct.unpack(f"<{len(values)}d", done.stdout)
        text = rows(exactly(path, stdin="W,\n" + "".join(
            ",\n" if math.isnan(x) else f"{x!r},\n" for x in values)))
        tap.equal("as many", len(got), len(text))
        for i, (x, row) in enumerate(zip(got, text)):
            if row["t90_K"] == "":
                tap.true(f"value {i + 1} is NaN", math.isnan(x), repr(x))
            else:
                tap.near(f"value {i + 1}", x, float(row["t90_K"]), 1e-11)  # firn/batch.h
        err = done.stderr.decode()
        tap.equal("one refused", err.count("outside the calibration"), 1)
        tap.true("which", "stdin: value 3: W is 9" in err, err)
    with tap.case("--binary: bytes left over, and no columns"):
        done = subprocess.run([program(), "convert", "--with", path, "--binary"],
                              input=struct.pack("<d", 1.5) + b"123", capture_output=True, check=False)
        tap.equal("status", done.returncode, 2)
        tap.equal("one out", len(done.stdout), 8)
        tap.true("said", b"3 bytes are left" in done.stderr, done.stderr.decode())
        tap.status(convert(path, "--binary", "--column", "W", stdin=""), 2)
        tap.status(exactly(path, "--binary", stdin=""), 2)
        tap.status(convert(path, "--binary", stdin=""), 0)


def live(tap, made):
    path, _ = made["long-stem-25-ohm"]
    with tap.case("a line is answered before the next is written"):
        with subprocess.Popen([program(), "convert", "--with", path, "--subrange", "H2O_Al"],
                              stdin=subprocess.PIPE, stdout=subprocess.PIPE) as run:
            for sent, want in ((b"W\n", b"W,"), (b"1.5\n", b"1.5,401"), (b"1.6\n", b"1.6,42")):
                run.stdin.write(sent)
                run.stdin.flush()
                line = run.stdout.readline()
                tap.true(sent.decode(), line.startswith(want), line.decode())
            run.stdin.close()
            tap.equal("status", run.wait(30), 0)


def the_result(tap, made, where):
    path, _ = made["long-stem-25-ohm"]
    with open(path, encoding="utf-8") as file:
        text = file.read()

    def refused(what, changed, *words, line=None):
        with tap.case(f"result refused: {what}"):
            run = convert(changed, stdin=column([1.5]))
            tap.status(run, 2)
            tap.equal("stdout", run.out, "")
            for word in words:
                tap.true(f"'{word}' in the message", word in run.err, run.err)
            if line is not None:
                tap.true(f"line {line}", f":{line}:" in run.err, run.err)

    def at(part):
        return text[:text.index(part)].count("\n") + 1

    refused("not there", os.path.join(where, "none.json"), "no such file")
    refused("a directory", where, "directory")
    refused("a job", os.path.join(EXAMPLES, "hundred-ohm", "job.yaml"), "no JSON")
    refused("cut short", write(where, "cut.json", text[:len(text) // 2]), "no JSON")
    refused("a name twice", write(where, "twice.json", text.replace(
        '"accepted": true', '"accepted": true, "accepted": true')), "no JSON", line=at('"accepted"'))
    refused("another kind", write(where, "kind.json", text.replace(
        "fixed-point calibration result", "comparison result", 1)), "kind", line=2)
    refused("a later schema", write(where, "schema.json", text.replace(
        '"schema": 1', '"schema": 2', 1)), "schema", line=3)
    refused("a list", write(where, "list.json", "[1]"), "object")
    refused("a number as a text", write(where, "text.json", text.replace(
        '"order": ["a", "b"]', '"order": ["a", 7]', 1)), "text", line=at('"order": ["a", "b"]'))

    def without(result):
        del result["subranges"][0]["joint"]

    def asymmetric(result):
        result["subranges"][0]["joint"]["covariance"][0][1] *= 1.001

    def short(result):
        result["subranges"][0]["joint"]["covariance"].pop()

    def dropped(result):  # c of H2O_Al left out
        s = result["subranges"][-1]
        del s["coefficients"]["c"]
        s["order"].pop()
        del s["joint"]["order"][2]
        for covariance in (s["covariance"], s["joint"]["covariance"]):
            del covariance[2]
            for row in covariance:
                del row[2]

    def own_ragged(result):
        result["subranges"][0]["covariance"][1].append(0.0)

    def own_cut(result):
        result["subranges"][0]["covariance"].pop()

    def own_contradicts(result):
        result["subranges"][0]["covariance"][1][1] *= 1.001

    def last_row_ragged(result):  # that of an R(TPW), of which no number is used
        result["subranges"][0]["joint"]["covariance"][-1].pop()

    for what, edit, word in (("no joint covariance", without, "joint"),
                             ("a ragged covariance", own_ragged, "numbers"),
                             ("a covariance cut short", own_cut, "rows"),
                             ("covariances that differ", own_contradicts, "row 2, column 2"),
                             ("a ragged joint covariance", last_row_ragged, "numbers"),
                             ("a covariance that isn't symmetric", asymmetric, "symmetric"),
                             ("a covariance without its last row", short, "rows"),
                             ("a coefficient dropped", dropped, "coefficients")):
        refused(what, change(where, path, edit), word, "changed.json:")

    def least_squares(result):
        for s in result["subranges"]:
            s["certificate"] = False
            s["joint"] = {"order": [], "covariance": []}

    changed = change(where, path, least_squares)
    refused("no ITS-90 interpolation", changed, "ITS-90 interpolation")
    with tap.case("coefficients by least squares are refused by name"):
        def alone(result):
            for s in result["subranges"]:
                if s["name"] == "H2O_Zn":
                    s.update(certificate=False, joint={"order": [], "covariance": []})

        run = convert(change(where, path, alone), "--subrange", "H2O_Zn", stdin=column([1.5]))
        tap.status(run, 2)
        tap.true("why", "by least squares, not the ITS-90 interpolation" in run.err, run.err)

        def beside(result):
            s = dict(next(s for s in result["subranges"] if s["name"] == "H2O_Zn"))
            s.update(certificate=False, joint={"order": [], "covariance": []})
            result["subranges"].insert(0, s)

        both = change(where, path, beside)
        tap.status(convert(both, "--subrange", "H2O_Zn", stdin=column([1.5])), 0)


def a_failed_thermometer(tap, made):
    path, result = made["fails-the-criterion"]
    with tap.case("a thermometer that missed a criterion: converted, said, status 1"):
        tap.equal("the example", result["accepted"], False)
        w = result["curves"][0]["points"][1]["w"]
        run = convert(path, stdin=column([w]))
        tap.status(run, 1)
        tap.true("converted", rows(run)[0]["t90_K"] != "", run.out)
        tap.true("said", "criterion" in run.err, run.err)


def the_command(tap, made):
    path, _ = made["long-stem-25-ohm"]
    for what, args in (("no calibration", ["convert"]), ("a file", ["convert", "--with", path, "x"]),
                       ("a wrong quantity", ["convert", "--with", path, "--from", "mV"]),
                       ("an unknown option", ["convert", "--with", path, "--fast"])):
        with tap.case(f"wrong command: {what}"):
            run = firn(*args, stdin=column([1.5]))
            tap.status(run, 2)
            tap.equal("stdout", run.out, "")
            tap.true("said", len(run.err) > 20, run.err)
    with tap.case("a full disk is a failure of the machine"):
        with open("/dev/full", "w", encoding="utf-8") as full:
            run = firn("convert", "--with", path, stdin=column([1.5]), stdout=full)
        tap.status(run, 3)
    with tap.case("a reader that goes away ends the program, without a message"):
        done = subprocess.run(
            f"yes 1.5 | (echo W; cat) | '{program()}' convert --with '{path}' --subrange H2O_Al "
            "| head -n 3", shell=True, capture_output=True, timeout=60, check=False)
        tap.equal("lines", len(done.stdout.splitlines()), 3)
        tap.true("no message of ours", b"firn" not in done.stderr and b"stdin" not in done.stderr,
                 done.stderr.decode())


def main():
    tap = Tap()
    with folder() as where:
        made = results(where)
        against_the_result(tap, made)
        digits(tap, made)
        choice(tap, made)
        csv_forms(tap, made)
        wrong_lines(tap, made)
        own_r_tpw(tap, made)
        binary(tap, made)
        live(tap, made)
        the_result(tap, made, where)
        a_failed_thermometer(tap, made)
        the_command(tap, made)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
