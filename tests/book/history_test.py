#!/usr/bin/python3
"""The history of check thermometers: values, pooled s with its degrees of freedom, control limits."""
import pathlib
import re
import sys

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "support"))
sys.path.insert(0, str(HERE))
from calibration_test import Book, begin  # noqa: E402
from check_thermometers import SLOPE, measure, r_tpw  # noqa: E402
from firn_run import Tap, folder  # noqa: E402

# NIST Statistical Reference Datasets, analysis of variance, SiRstv: resistivity of silicon wafers by
# five instruments (copy in the Debian package python3-scipy). Certified: residual standard deviation
# 1.04076068334656E-01, 20 degrees of freedom. Here each instrument is a check thermometer whose
# R(TPW) is off by 100 mK for each unit, each at another nominal value.
CENTRE = 196.2  # near all means: a kelvin in ohm is taken at the mean, and 6 mK move that by 2e-5
SILICON = (
    (196.3052, 196.1240, 196.1890, 196.2569, 196.3403),
    (196.3042, 196.3825, 196.1669, 196.3257, 196.0422),
    (196.1303, 196.2005, 196.2889, 196.0343, 196.1811),
    (196.2795, 196.1748, 196.1494, 196.1485, 195.9885),
    (196.2119, 196.1051, 196.1850, 196.0052, 196.2090),
)
CERTIFIED_S, CERTIFIED_DOF = 1.04076068334656e-01, 20


def history(book, thermometer, point="H2O"):
    return book.say("history", thermometer, point, "--at", "2032-08-01", who=None)


def deviations(text):
    """The last numbers of the rows of the table."""
    return [float(x) for x in re.findall(r"^  2\d{3}-.*? ([-−]?\d+\.\d{3})(?: +outside)?$", text,
                                         re.MULTILINE)]


def pooled(text):
    s, dof = re.search(r"s = ([0-9.]+) mK with (\d+) degrees", text).groups()
    return float(s), int(dof)


def as_check_thermometer(tap, book, name):
    tap.equal(f"{name} is one", book.change("thermometer", name, check_thermometer=True).status, 0)


def test_certified(tap, book):
    with tap.case("five thermometers, five visits each: s and its degrees of freedom as certified"):
        for i, row in enumerate(SILICON):
            name = f"C-{i + 1}"
            for j, reading in enumerate(row):
                run = measure(book, f"{name}-{j}", name, [
                    ("1", "W1", "H2O", r_tpw(25.5 + i / 8, 100 * (reading - CENTRE)),
                     f"2031-0{j + 1}-0{i + 1}T09:00")])
                tap.equal("in", (run.status, run.err), (0, ""))
            as_check_thermometer(tap, book, name)
        run = history(book, "C-1")
        s, dof = pooled(run.out)
        tap.near("s", s, 100 * CERTIFIED_S, 0.0008)  # printed to 1 uK, and 2e-5
        tap.equal("degrees of freedom", dof, CERTIFIED_DOF)
        tap.true("as a term of a job", f"reproducibility: {{u_mK: {s}, dof: {dof}}}" in
                 " ".join(run.out.split()), run.out)
        mean = sum(SILICON[0]) / 5
        for got, reading in zip(deviations(run.out), SILICON[0], strict=True):
            tap.near("from the mean", got, 100 * (reading - mean), 0.0012)  # 2e-5 of 20 mK too
        tap.true("none is outside", "outside: 0 of 5" in run.out, run.out)
    with tap.case("limits are mean and three s, in the unit of the values"):
        low, high = map(float, re.search(r"limits ([0-9.]+) to ([0-9.]+)", run.out).groups())
        tap.near("width", (high - low) / (25.5 * SLOPE), 6 * 0.1 * CERTIFIED_S, 2e-6)
        tap.near("mean", (high + low) / 2, r_tpw(25.5, 100 * (mean - CENTRE)) *
                 (1 + 0.73e-3 * 0.2 * SLOPE), 2e-8)  # to the surface of the water: -0.73 mK/m


def test_outside(tap, book):
    with tap.case("a value beyond three s stands out, one within doesn't"):
        book.put("limits", "L1", {"from": "2031-01-01", "limits": [
            {"name": "check_thermometer_k", "value": 2, "unit": "1", "source": "quality manual"}]})
        run = measure(book, "C-1-far", "C-1", [("1", "W1", "H2O", r_tpw(25.5, 60),
                                                 "2031-07-01T09:00")])
        tap.equal("in", run.status, 0)
        text = history(book, "C-1").out
        tap.equal("outside", re.findall(r"(\S+)/1.*outside$", text, re.MULTILINE), ["C-1-far"])
        tap.true("two s, whence", "mean ± 2 s" in text and "limits L1 from" in text, text)
    with tap.case("while a nonconformity about a visit is open it moves nothing"):
        trouble = {"about": ["C-1-far/1"], "opened": "2031-07-02T00:00:00Z", "person": "ada",
                   "what": "thermometer not down", "state": "open"}
        tap.equal("opened", book.put("nonconformity", "N1", trouble).status, 0)
        text = history(book, "C-1").out
        tap.near("s", pooled(text)[0], 100 * CERTIFIED_S, 0.0008)
        tap.true("said", "visit C-1-far/1 is left out: nonconformity N1 is open" in text, text)
        tap.equal("excluded", book.change("visit", "C-1-far/1", exclusions=[
            {"first": 0, "n": 6, "reason": "not down", "person": "ada"}]).status, 0)
        book.change("nonconformity", "N1", state="closed", decision="its readings don't count")
        text = history(book, "C-1").out
        tap.near("s", pooled(text)[0], 100 * CERTIFIED_S, 0.0008)
        tap.true("left out", "visit C-1-far/1 is left out" in text, text)


def test_shared_mantle(tap, book):
    with tap.case("thermometers in one mantle saw one realisation: five mantles leave four"):
        for j in range(5):
            tap.equal("mantle", book.put("realisation", f"M{j}", {
                "cell": "W1", "method": "dry ice", "begun": f"2031-0{j + 1}-01T00:00:00Z",
                "person": "ada", "state": "ended"}).status, 0)
            for i in range(5):
                book.change("visit", f"C-{i + 1}-{j}/1", realisation=f"M{j}")
        s, dof = pooled(history(book, "C-2").out)
        tap.near("s stays", s, 100 * CERTIFIED_S, 0.0008)
        tap.equal("degrees of freedom", dof, 4)


def test_budget(tap, book):
    with tap.case("s and its degrees of freedom become the reproducibility of a calibration's visits"):
        run = measure(book, "T-2", "T-2", [("1", "Zn1", "Zn", 25.5 * 2.568, "2031-06-15T09:00"),
                                           ("2", "W1", "H2O", 25.5, "2031-06-15T15:00")])
        tap.equal("in", (run.status, run.err), (0, ""))
        run = book.say("reproducibility", "T-2")
        tap.equal("no reason", (run.status, "only with a reason" in run.err), (2, True))
        run = book.say("reproducibility", "T-2", "--json", why="procedure 7.2")
        zinc, water = run.json()["visits"]
        tap.equal("zinc keeps what it has", (zinc["is_mK"], zinc["values"]), (None, 0))
        tap.equal("water", (water["visit"], water["was_mK"], water["dof"], water["values"]),
                  ("T-2/2", None, 4.0, 25))
        tap.near("u", water["is_mK"], 100 * CERTIFIED_S, 0.05)  # three digits
        tap.equal("in the visit", book.show("visit", "T-2/2")["job"]["terms"],
                  {"reproducibility": {"u_mK": water["is_mK"], "dof": 4.0}})
        tap.equal("none in the other", "terms" in book.show("visit", "T-2/1")["job"], False)
        tap.true("told", "visit T-2/2 (H2O): was 10.4 mK, is 10.4 mK with 4 degrees" in
                 book.say("reproducibility", "T-2", why="again").out)
        measure(book, "T-3", "T-3", [("1", "W1", "H2O", 25.5, "2031-03-20T15:00")])
        run = book.say("reproducibility", "T-3", "--json", why="procedure 7.2")
        tap.equal("only what came before", run.json()["visits"][0]["values"], 15)


def test_ratio(tap, book):
    with tap.case("at another point it is W, by the R(TPW) that follows"):
        for j, off_mK in enumerate((0.0, 0.5, -0.5)):
            tpw = 25.5 * (1 + 1e-5 * j)  # R(TPW) moves by 2.5 mK and W doesn't
            zinc = tpw * (2.568 + 3.4949e-3 * 1e-3 * off_mK)  # dWr/dT at Zn, ITS-90 (10a)
            run = measure(book, f"Z-{j}", "C-1", [
                ("1", "Zn1", "Zn", zinc, f"2032-0{j + 1}-01T09:00"),
                ("2", "W1", "H2O", tpw, f"2032-0{j + 1}-01T15:00")])
            tap.equal("in", (run.status, run.err), (0, ""))
        run = history(book, "C-1", "Zn")
        got = deviations(run.out)
        tap.equal("values", len(got), 3)
        for value, want in zip(got, (0.0, 0.5, -0.5), strict=False):
            tap.near("from the mean", value, want, 0.002)  # the slope has five digits
        tap.near("s", pooled(run.out)[0], 0.5, 0.002)
        tap.equal("divided by", re.findall(r"Zn1 +(\S+)", run.out), ["Z-0/2", "Z-1/2", "Z-2/2"])


def test_refused(tap, book):
    with tap.case("what has no history is told"):
        measure(book, "T-1", "T-1", [("1", "W1", "H2O", 25.5, "2031-01-01T00:00")])
        for arguments, words in ((("T-1", "H2O"), "is no check thermometer"),
                                 (("T-9", "H2O"), "T-9"), (("C-1", "H20"), "no fixed point"),
                                 (("C-1", "e-H2-vapour"), "follows from its pressure")):
            run = book.say("history", *arguments, who=None)
            tap.equal(words, (run.status, words in run.err), (2, True))
        tap.equal("nothing yet", history(book, "C-1", "Al").status, 0)


def main():
    tap = Tap()
    with folder() as where:
        book = Book(pathlib.Path(where))
        begin(tap, book)
        test_certified(tap, book)
        test_outside(tap, book)
        test_shared_mantle(tap, book)
        test_budget(tap, book)
        test_ratio(tap, book)
        test_refused(tap, book)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
