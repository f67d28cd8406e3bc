#!/usr/bin/python3
"""`firn plan`: the budget by hand, what would help, days, planned against achieved, and bad plans."""
import json
import math
import os
import re
import shutil
import sys

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "support"))
from firn_run import Tap, firn, folder, write  # noqa: E402

EXAMPLES = os.path.join(HERE, "..", "..", "examples")
PLAN = os.path.join(EXAMPLES, "plan", "plan.yaml")
SLOPE = 3.988e-3  # dWr/dT at 273.16 K, per K: ITS-90, equation (9a), to four digits


def text_of(name="plan.yaml"):
    with open(os.path.join(EXAMPLES, "plan", name), encoding="utf-8") as file:
        return file.read()


def by_name(result):
    return {r["name"]: r for r in result["realisations"]}


def causes(realisation):
    return {c["cause"]: c["u_K"] for c in realisation["causes"]}


def folder_of_plan(where):
    """A copy of the example that a test may change."""
    shutil.copytree(os.path.join(EXAMPLES, "plan"), os.path.join(where, "plan"), dirs_exist_ok=True)
    shutil.copytree(os.path.join(EXAMPLES, "cells"), os.path.join(where, "cells"), dirs_exist_ok=True)


def changed(where, *pairs):
    text = text_of()
    for old, new in pairs:
        assert text.count(old) >= 1, old
        text = text.replace(old, new, 1)
    return write(os.path.join(where, "plan"), "plan.yaml", text)


def test_budget(tap):
    got = by_name(firn("plan", PLAN, "--json").json())
    large = got["large cell W-2"]
    u = causes(large)
    with tap.case("the large cell, term by term, by hand"):
        # R/Rs = 0.255; u of the ratio over (ratio times slope) is kelvin
        per_K = 0.255 * SLOPE
        tap.near("bridge", u["bridge"], 1.5e-8 / per_K, 1e-8)
        # r0 = 2 r1 - r2 at twice the power (1.4142^2 - 1 = 1), 40 and 20 readings
        tap.near("readings", u["readings"],
                 1.5e-8 * math.sqrt(4 / 40 + 1 / 20) / per_K, 2e-8)
        tap.near("resistor", u["resistor"], 3.1e-6 * 0.004 / SLOPE, 2e-9)
        tap.near("head: 0.73 mK/m over 2 mm (ITS-90, Table 2)", u["head"], 0.73e-3 * 2e-3, 1e-12)
        tap.near("age: 14 uK bound at 10 days, rectangular", u["mantle age"], 8.0e-6, 0.1e-6)
        tap.near("stated", u["reproducibility"], 12e-6, 1e-12)
        tap.near("together", large["u_K"], math.sqrt(sum(x * x for x in u.values())), 1e-10)
        tap.near("U", large["U_K"], 2 * large["u_K"], 1e-18)
        tap.true("largest first", list(u.values()) == sorted(u.values(), reverse=True), str(u))
    with tap.case("conduction is that of firn cell fit"):
        # with the plan's thermometer, which is that of the example of the fit
        fit = firn("cell", "fit", os.path.join(EXAMPLES, "cells", "does-not-fit.yaml"), "--json")
        term = re.search(r'"term_K": ([-+.e0-9]+)', fit.out)
        tap.true("the fit tells its term", term is not None)
        tap.near("stem", causes(got["very small cell M-1"])["stem conduction"],
                 float(term.group(1)), 1e-6 * float(term.group(1)))
    with tap.case("usual figures stand beside, and are not what is computed"):
        # common practice, no source
        for name, usual in (("ice bath", 10e-3), ("small cell M-4", 0.5e-3),
                            ("large cell W-2", 0.1e-3)):
            tap.near(name, got[name]["usual_U_K"], usual, 1e-15)
            tap.true(f"{name} is computed", abs(got[name]["U_K"] / usual - 1) > 0.1)
    with tap.case("what is good enough, and the best of it"):
        result = firn("plan", PLAN, "--json").json()
        tap.equal("best", result["best"], "large cell W-2")
        for r in result["realisations"]:
            tap.equal(r["name"], r["enough"], r["U_K"] <= 0.3e-3)


def test_help(tap, where):
    with tap.case("what would help comes true when it is done"):
        before = by_name(firn("plan", PLAN, "--json").json())["large cell W-2"]
        options = {o["what"]: o["U_K"] for o in before["would_help"]}
        for what, old, new in (
                ("a mantle that is 14 days old", "age_d: 10", "age_d: 14"),
                ("reproducibility half as large", "u_mK: 0.012", "u_mK: 0.006"),
                ("a bridge known twice as well, as by a check with a resistor network",
                 "u_linearity: 1.5e-8", "u_linearity: 0.75e-8")):
            path = changed(where, (old, new))
            after = by_name(firn("plan", path, "--json").json())["large cell W-2"]
            tap.near(what, after["U_K"], options[what], 1e-12 * options[what])
        tap.true("best first", list(options.values()) == sorted(options.values()))
    with tap.case("water never analysed: an analysis helps most"):
        small = by_name(firn("plan", PLAN, "--json").json())["small cell M-4"]
        tap.true("offered", any("analysis" in o["what"] for o in small["would_help"])
                 or causes(small)["isotopes"] < 0.1 * small["u_K"])
        write(os.path.join(where, "plan"), "large.yaml", re.sub(
            r"  isotopes: .*\n", "", text_of("large.yaml")))
        large = by_name(firn("plan", changed(where, ("age_d: 10", "age_d: 10")),
                             "--json").json())["large cell W-2"]
        tap.near("u of isotopes (CCT Guide sec. 2.2 (2018), 3)", causes(large)["isotopes"], 35e-6,
                 1e-12)
        tap.equal("first", large["would_help"][0]["what"], "an analysis of the cell's water")
        folder_of_plan(where)


def test_days(tap, where):
    with tap.case("days: the age of the ice, the procedure's own times, the readings"):
        time = by_name(firn("plan", PLAN, "--json").json())["large cell W-2"]["time"]
        tap.near("wait", time["wait_s"], 10 * 86400, 1e-6)
        tap.near("read: three times 20 readings of 20 s", time["read_s"], 1200, 1e-9)
        # tpw-heat-pipe: 2 h cool, 60 min freeze, 1 min free, 5 min in ice, 15 min
        tap.near("ready", time["ready_s"], (120 + 60 + 1 + 5 + 15) * 60, 1e-6)
        tap.near("days", time["days"],
                 10 + (time["ready_s"] + time["settle_s"] + time["read_s"]) / 28800, 1e-9)
    with tap.case("another procedure, and one that doesn't exist"):
        path = changed(where, ("age_d: 10", "procedure: tpw-dry-ice"))
        time = by_name(firn("plan", path, "--json").json())["large cell W-2"]["time"]
        tap.near("wait: ages a week", time["wait_s"], 7 * 86400, 1e-6)
        run = firn("plan", changed(where, ("age_d: 10", "procedure: tpw-dryice")))
        tap.status(run, 2)
        tap.true("near", "did you mean tpw-dry-ice?" in run.err, run.err)


def test_going_on(tap, where):
    with tap.case("points of the calibration that follows: in their order, with their work"):
        got = firn("plan", PLAN, "--json").json()["goes_on_to"]
        tap.equal("points", [p["point"] for p in got],
                  "H2O Al H2O Zn H2O Sn H2O Hg H2O Ar H2O".split())
        zinc = next(p for p in got if p["point"] == "Zn")
        # zn-freeze: overnight; then 1 min outside, 30 min until flat, 5 min a step of the profile
        tap.near("zinc stands", zinc["wait_s"], 8 * 3600, 1e-6)
        tap.near("zinc, with 20 min of readings", zinc["work_s"], (1 + 30 + 5 + 20) * 60, 1e-6)
        text = firn("plan", PLAN).out
        tap.true("told", "Going on to a calibration: H2O, Al," in text, text)
    with tap.case("a subrange that isn't there; none at all"):
        run = firn("plan", changed(where, ("[H2O_Al, Ar_H2O]", "[H2O_Al, Ar_Pb]")))
        tap.status(run, 2)
        tap.true("said", "6:22: there is no subrange Ar_Pb" in run.err, run.err)
        run = firn("plan", changed(where, ("goes_on_to: [H2O_Al, Ar_H2O]\n", "")), "--json")
        tap.equal("none", run.json()["goes_on_to"], [])


def test_achieved(tap, where):
    with tap.case("planned against achieved, by the result of a calibration"):
        result = os.path.join(where, "result.json")
        firn("reduce", os.path.join(EXAMPLES, "long-stem-25-ohm", "job.yaml"), "--result", result)
        with open(result, encoding="utf-8") as file:
            visits = [v for v in json.load(file)["visits"] if v["point"] == "H2O"]
        run = firn("plan", PLAN, "--achieved", result, "--json")
        large = by_name(run.json())["large cell W-2"]
        want = max(2 * v["r_ohm"]["u"] / (v["r_ohm"]["value"] * SLOPE) for v in visits)
        tap.near("U", large["achieved_U_K"], want, 1e-3 * want)
        tap.true("visit", large["achieved_by"] in [v["id"] for v in visits])
        tap.equal("others have none",
                  by_name(run.json())["small cell M-4"]["achieved_U_K"], None)
        text = firn("plan", PLAN, "--achieved", result).out
        tap.true("in words", re.search(r"planned 48 µK, achieved [0-9.]+ [µm]K", text), text)
    with tap.case("what is no result, or named twice"):
        run = firn("plan", PLAN, "--achieved", PLAN)
        tap.status(run, 2)
        run = firn("plan", PLAN, "--achieved", write(where, "x.json", '{"kind": "plan result"}'))
        tap.status(run, 2)
        tap.true("says what", "no fixed-point calibration result" in run.err, run.err)
        tap.status(firn("plan", PLAN, "--achieved", "a", "--certificate", "C-1"), 2)
        run = firn("plan", PLAN, "--certificate", "C-1", env={"FIRN_BOOK": ""})
        tap.status(run, 2)


WRONG = [
    ("wanted_U_mK: 0.3", "wanted_U_mK: 0", "5:14: wanted_U_mK is"),
    ("wanted_U_mK: 0.3", "wanted_U_K: 0.3", 'no key "wanted_U_K"'),
    ("kind: plan", "kind: plam", 'kind is "plam"'),
    ("currents_mA: [1, 1.4142]\n", "\n", "the thermometer has no currents_mA"),
    ("u_linearity: 1.5e-8, ", "", "the bridge has no u_linearity"),
    ("u_linearity: 1.5e-8", "u_linearity: 15", "u_linearity is 15"),
    ("ohm: 100, per_K", "per_K", "the resistor has no ohm"),
    ("per_K: 3.1e-6, ", "", "u_bath_K"),
    ("cell: large.yaml", "cell: lage.yaml", "lage.yaml"),
    ("cell: large.yaml", "cell: plan.yaml", "plan.yaml"),
    ("    cell: large.yaml\n", "", "realisation large cell W-2 has no cell"),
    ("age_d: 10", "age_d: -1", "age_d is -1"),
    ("age_d: 10", "age: 10", 'no key "age"'),
    (", source: own check thermometers", "", "reproducibility has no source"),
    ("u_mK: 0.012, ", "", "reproducibility has no u_mK"),
    ("    cell: ice-bath.yaml\n", "    cell: ice-bath.yaml\n    age_d: 3\n", "belongs to an ice mantle"),
]


def test_bad(tap, where):
    for old, new, says in WRONG:
        with tap.case(f"'{new.strip() or 'nothing'}' for '{old.strip()}'"):
            run = firn("plan", changed(where, (old, new)))
            tap.status(run, 2)
            tap.equal("stdout", run.out, "")
            tap.true("said", says in run.err, run.err)
    with tap.case("no realisation at all"):
        text = text_of()
        path = write(os.path.join(where, "plan"), "plan.yaml",
                     text[:text.index("realisations:")] + "realisations: {}\n")
        run = firn("plan", path)
        tap.status(run, 2)
        tap.true("said", "realisations is empty" in run.err, run.err)
    with tap.case("an error in a cell is told with the cell's file and line"):
        write(os.path.join(where, "plan"), "large.yaml",
              text_of("large.yaml").replace("fluid: water", "fluid: watr"))
        run = firn("plan", changed(where, ("age_d: 10", "age_d: 10")))
        tap.status(run, 2)
        tap.true("where", re.search(r"large\.yaml:\d+:\d+: ", run.err), run.err)
        folder_of_plan(where)
    with tap.case("a thermometer that can't stand there is told, and the others are computed"):
        run = firn("plan", changed(where, ("outer_mm: {value: 7.5, u: 0.05}", "outer_mm: 11"),
                                   ("inner_mm: {value: 5.5, u: 0.05}", "inner_mm: 9")), "--json")
        got = by_name(run.json())
        tap.true("why", got["small cell M-4"]["why_not"], str(got["small cell M-4"]))
        tap.true("computed", got["large cell W-2"]["U_K"] > 0)
    with tap.case("nothing reaches what is wanted: exit status 1, and it is said"):
        run = firn("plan", changed(where, ("wanted_U_mK: 0.3", "wanted_U_mK: 0.001")))
        tap.status(run, 1)
        tap.true("said", "None of them reaches" in run.out, run.out)


def test_picture(tap, where):
    with tap.case("the picture holds each realisation, in SVG and on paper"):
        svg, pdf = (os.path.join(where, "plan." + kind) for kind in ("svg", "pdf"))
        tap.status(firn("plan", PLAN, "--svg", svg, "--pdf", pdf), 0)
        with open(svg, encoding="utf-8") as file:
            text = file.read()
        for part in ("large cell W-2", "small cell M-4", "wanted: 300 µK", "48 µK", "packing"):
            tap.true(part, part in text)
        with open(pdf, "rb") as file:
            tap.equal("PDF", file.read(5), b"%PDF-")


def main():
    tap = Tap()
    with folder() as where:
        folder_of_plan(where)
        test_budget(tap)
        test_help(tap, where)
        test_days(tap, where)
        test_going_on(tap, where)
        test_achieved(tap, where)
        test_bad(tap, where)
        test_picture(tap, where)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
