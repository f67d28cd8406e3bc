#!/usr/bin/python3
"""The gates of a release: each names thing, value, limit and source, and opens by a decision only."""
import json
import pathlib
import re
import sys

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "support"))
sys.path.insert(0, str(HERE))
from book import Book, person, staff  # noqa: E402
from check_thermometers import measure, r_tpw  # noqa: E402
from firn_run import Tap, firn, folder  # noqa: E402

JOB = HERE.parent.parent / "examples" / "long-stem-25-ohm" / "job.yaml"  # read in March 2031


def gates(book, calibration="31-001"):
    """[(name, state, sentence)] as `firn book gates` tells them."""
    run = book.say("gates", calibration)
    text = run.out.split("\n", 1)[1] if run.out else ""
    lines = [" ".join(line.split()) for line in re.split(r"\n(?=  \S)", text.rstrip())]
    return [re.match(r"([a-z ]+): (passed|not judged|closed|opened by.*?)\. (.*)", line).groups()
            for line in lines if line]


def of(book, name, calibration="31-001"):
    return [(state, said) for gate, state, said in gates(book, calibration) if gate == name]


def limit(book, name, value, unit="mK", source="quality manual", identity="L1"):
    return book.put("limits", identity, {"from": "2031-05-01", "limits": [
        {"name": name, "value": value, "unit": unit, "source": source}]})


def begin(tap, book):
    with tap.case("a calibration without anything odd passes what can be judged"):
        tap.equal("init", book.begin().status, 0)
        tap.equal("staff", staff(book), [])
        tap.equal("job", book.say("job", JOB, "31-001").status, 0)
        (state, said), = of(book, "stability")
        tap.equal("state", state, "passed")
        # what `firn reduce` tells of the same job
        moved = re.search(r"R\(TPW\) moved by ([0-9.]+) mK", firn("reduce", JOB).out)[1]
        tap.true("value", re.search(r"by ([0-9.]+) mK", said)[1].startswith(moved), said)
        tap.true("limit and source", "at most 0.2 mK is asked (CCT Guide ch. 5 (2018), 4.4.1" in
                 said and "thermometer S-114" in said, said)
        tap.equal("no other", {name for name, _, _ in gates(book)}, {"stability", "ambient"})


def test_json(tap, book):
    with tap.case("the same as JSON, its values beside its words"):
        answer = book.say("gates", "31-001", "--json").json()
        told = [(g["gate"], g["state"], " ".join(g["text"].split())) for g in answer["gates"]]
        told += [("release", "closed", " ".join(text.split())) for text in answer["release"]]
        tap.equal("told", told, gates(book))
        stability, = (g for g in answer["gates"] if g["gate"] == "stability")
        tap.equal("limit", [stability[name] for name in ("limit", "unit", "at_least", "decision")],
                  [0.2, "mK", False, None])
        tap.true("value", f"{stability['value']:.2g}" in stability["text"], stability)
        run = book.say("gates", "31-009", "--json")
        tap.equal("none", (run.status, "no calibration 31-009" in run.err), (2, True))


def test_stability(tap, book):
    with tap.case("the laboratory's own limit closes it, and says whence"):
        tap.equal("stated", limit(book, "r_tpw_change_long_stem_mK", 0.05).status, 0)
        (state, said), = of(book, "stability")
        tap.equal("state", state, "closed")
        tap.true("limit", "at most 0.05 mK is asked (quality manual (limits L1 from 2031-05-01))" in
                 said, said)
        job = book.show("calibration", "31-001")["job"]
        tap.equal("changed", book.change("calibration", "31-001", job={
            **job, "limits": {"r_tpw_change_mK": 9}}).status, 0)
        tap.equal("a job can't ask for less", of(book, "stability")[0][0], "closed")
        book.change("limits", "L1", limits=[])
        book.change("calibration", "31-001", job={**job, "limits": {"r_tpw_change_mK": 0.01}})
        (state, said), = of(book, "stability")
        tap.true("but for more", state == "closed" and "limit of the job" in said, said)
        book.change("calibration", "31-001", job=job)
        tap.equal("open again", of(book, "stability")[0][0], "passed")


def receipt(**members):
    return {"thermometer": "S-114", "time": "2031-02-01T09:00:00Z", "condition": "sound", **members}


def test_receipt(tap, book):
    with tap.case("R(TPW) as received is held to that of the last certificate"):
        book.put("receipt", "R0", receipt(time="2030-01-01T09:00:00Z", r_tpw_ohm=20,
                                          last_r_tpw_ohm=25.5))  # an earlier visit to us
        tap.equal("in", book.put("receipt", "R1", receipt()).status, 0)
        tap.equal("nothing stated", of(book, "receipt")[0][0], "not judged")
        for off_mK, state in ((99.9, "passed"), (-99.9, "passed"), (100.1, "closed"),
                              (-150, "closed")):
            book.change("receipt", "R1", r_tpw_ohm=r_tpw(25.5, off_mK), last_r_tpw_ohm=25.5)
            (got, said), = of(book, "receipt")
            tap.equal(f"{off_mK} mK", got, state)
            tap.near("value", float(re.search(r"by ([0-9.]+) mK", said)[1]), abs(off_mK), 0.5)
        tap.true("receipt and source", "receipt R1" in said and "at most 100 mK" in said and
                 "CCT Guide ch. 5 (2018), 4.1" in said, said)
        later = receipt(time="2031-05-01T09:00:00Z", r_tpw_ohm=25.5, last_r_tpw_ohm=25.5)
        tap.equal("later", book.put("receipt", "R2", later).status, 0)
        tap.equal("what came after the readings isn't it", of(book, "receipt")[0][0], "closed")


def treatment(day, before_mK, after_mK):
    return {"thermometer": "S-114", "begun": f"{day}T08:00:00Z", "ended": f"{day}T17:00:00Z",
            "temperature_C": 675, "hold_h": 4, "r_tpw_before_ohm": r_tpw(25.5, before_mK),
            "r_tpw_after_ohm": r_tpw(25.5, after_mK), "person": "ada"}


def test_treatment(tap, book):
    def cycle(number, day, before_mK, after_mK):
        tap.equal(f"cycle {number}", book.put("heat treatment", f"A{number}", treatment(
            day, before_mK, after_mK)).status, 0)
        return [state for state, _ in of(book, "heat treatment")]

    with tap.case("heat treatment goes on until R(TPW) repeats, and not for ever"):
        book.put("heat treatment", "A0", treatment("2030-12-01", 0, 9))  # before it was received
        tap.equal("none since it came", of(book, "heat treatment"), [])
        tap.equal("2 mK", cycle(1, "2031-02-03", 0, 2), ["passed", "closed"])
        tap.equal("rises on", cycle(2, "2031-02-05", 2, 3), ["passed", "closed"])
        tap.true("said", "rose with every heat treatment" in of(book, "heat treatment")[1][1])
        tap.equal("falls", cycle(3, "2031-02-07", 3, 2.4), ["passed", "closed"])
        said = of(book, "heat treatment")[1][1]
        tap.true("thing, value, limit, source", "S-114: the last heat treatment changed R(TPW) by "
                 "0.6 mK; at most 0.5 mK is asked (CCT Guide ch. 5 (2018), 4.2" in said, said)
        tap.equal("repeats", cycle(4, "2031-02-09", 2.4, 2), ["passed", "passed"])
        tap.equal("five", cycle(5, "2031-02-11", 2, 2.1), ["passed", "passed"])
        tap.equal("six", cycle(6, "2031-02-13", 2.1, 2.2), ["closed", "passed"])
        tap.true("count", "6; at most 5 is asked (Minor and Strouse" in
                 of(book, "heat treatment")[0][1])
        tap.equal("after its readings", cycle(7, "2031-05-13", 2.1, 9), ["closed", "passed"])
        tap.equal("the laboratory's own", limit(book, "anneal_cycles", 8, "1", identity="L2").status,
                  0)
        tap.equal("let through", [state for state, _ in of(book, "heat treatment")],
                  ["passed", "passed"])


def check(day, found, verdict):
    return {"equipment": "B2", "check": "complement", "time": f"{day}T09:00:00Z", "found": found,
            "expected": 0, "u": 1e-9, "unit": "1e-9", "verdict": verdict, "limit": 20,
            "limit_source": "manual of the bridge, 5.2"}


def test_equipment(tap, book):
    def state():
        return [got for got, _ in of(book, "equipment checks")]

    with tap.case("a failed check between the passed ones around the readings closes the gate"):
        for step, (identity, day, found, verdict, want) in enumerate((
                ("K1", "2031-01-05", 30, "failed", ["closed"]),
                ("K2", "2031-01-06", 5, "passed", ["passed"]),
                ("K3", "2031-05-02", 31, "failed", ["closed"]),
                ("K4", "2031-05-03", 4, "passed", ["closed"]),
                ("K5", "2031-03-01", 3, "passed", ["closed"]),
                ("K6", "2031-05-01", 2, "passed", ["passed"]))):
            tap.equal(identity, book.put("equipment check", identity, check(day, found, verdict))
                      .status, 0)
            tap.equal(f"after step {step}, {identity}", state(), want)
            if identity == "K3":
                said = of(book, "equipment checks")[0][1]
                tap.true("thing, value, limit, source", "bridge B2: check K3 (complement) of "
                         "2031-05-02 failed with a difference of 31 1e-9; at most 20 1e-9 is asked "
                         "(manual of the bridge, 5.2)" in said, said)
        trouble = {"about": ["B2"], "opened": "2031-05-02T12:00:00Z", "person": "ada", "state": "closed",
                   "what": "off by 31 parts in 1e9", "decision": "a cable; nothing measured with it"}
        book.put("equipment check", "K6", check("2031-05-01", 29, "failed"))
        book.change("equipment check", "K6", found=29, verdict="failed")
        tap.equal("two failed around them", state(), ["closed", "closed"])
        tap.equal("before they were known", book.put("nonconformity", "NB1", dict(
            trouble, opened="2031-04-30T00:00:00Z")).status, 0)
        tap.equal("nothing was decided", state(), ["closed", "closed"])
        book.put("nonconformity", "NB2", dict(trouble, opened="2031-05-01T12:00:00Z"))
        tap.equal("by somebody who may not issue", state(), ["closed", "closed"])
        book.put("person", "ada", person("Ada Quill", "manage", "operate", "issue"))
        book.change("person", "ada", function="head")
        book.change("nonconformity", "NB2", what="a cable")
        tap.true("the earlier", state()[0].startswith("opened by nonconformity NB2, ada"), state())
        tap.equal("the later one came after it", state()[1], "closed")
        book.change("nonconformity", "NB2", opened="2031-05-02T12:00:00Z")
        tap.true("both", all(x.startswith("opened by") for x in state()), state())
        book.change("equipment check", "K6", found=2, verdict="passed")
        tap.equal("passed before it", state(), ["passed"])
        book.put("equipment check", "K9", check("2031-05-02", 30, "failed"))
        book.change("equipment check", "K9", time="2031-05-02T06:00:00Z")
        book.change("equipment check", "K6", time="2031-05-02T08:00:00Z")
        book.change("nonconformity", "NB2", opened="2031-05-02T08:30:00Z")
        tap.equal("what was opened after the next one passed is about something else", state(),
                  ["closed"])
        book.change("nonconformity", "NB2", opened="2031-05-02T07:30:00Z")
        tap.true("in between", state()[0].startswith("opened by nonconformity NB2"), state())
        book.change("person", "ada", authorisations=person("", "manage", "operate")["authorisations"])
        tap.equal("who may not issue any more", state(), ["closed"])
        book.change("equipment check", "K9", time="2031-05-02T08:30:00Z")
        tap.equal("after the one that passed", state(), ["passed"])
        other = dict(check("2031-05-04", 30, "failed"), check="ratio one")
        book.put("equipment check", "K7", other)
        tap.equal("each kind of check for itself", state(), ["passed", "closed"])
        book.put("equipment check", "K8", dict(check("2031-04-20", 1, "passed"), check="ratio one"))
        tap.equal("passed since", state(), ["passed", "passed"])


def test_decision(tap, book):
    trouble = {"about": ["31-001"], "opened": "2031-05-20T00:00:00Z", "person": "ada",
               "what": "R(TPW) far off on receipt", "state": "open", "gate": "receipt"}
    closed = dict(trouble, state="closed", decision="the customer agreed on 20 May")

    with tap.case("a closed gate holds the certificate back, and names what it takes"):
        tap.equal("reduced", book.say("reduce", "31-001", who="bo").status, 0)
        tap.equal("checked", book.say("agree", "31-001", who="dee").status, 0)
        run = book.say("issue", "31-001", "C-1", who="cy")
        tap.equal("refused", run.status, 2)
        for words in ("thermometer S-114", "150 mK", "at most 100 mK", "CCT Guide", "gate: receipt"):
            tap.true(words, words in run.err, run.err)
    with tap.case("only a decision on this gate by somebody who may issue opens it"):
        tap.equal("no such gate", book.put("nonconformity", "N0", dict(trouble, gate="door")).status, 2)
        tap.equal("opened", book.put("nonconformity", "N1", trouble).status, 0)
        tap.equal("still closed", of(book, "receipt")[0][0], "closed")
        tap.equal("closed by bo", book.put("nonconformity", "N2", closed, who="bo").status, 0)
        tap.equal("who may not issue", of(book, "receipt")[0][0], "closed")
        tap.equal("cy operates too", book.put("person", "cy", person("Cy", "issue", "operate"))
                  .status, 0)
        tap.equal("other gate", book.put("nonconformity", "N3", dict(closed, gate="stability"),
                                         who="cy").status, 0)
        tap.equal("doesn't open this", of(book, "receipt")[0][0], "closed")
        tap.equal("other calibration", book.put("nonconformity", "N4", dict(closed, about=["B2"]),
                                                who="cy").status, 0)
        tap.equal("nor does that", of(book, "receipt")[0][0], "closed")
        tap.equal("by cy", book.put("nonconformity", "N5", closed, who="cy").status, 0)
        tap.equal("opened", of(book, "receipt")[0][0],
                  "opened by nonconformity N5, cy: the customer agreed on 20 May")
    with tap.case("what was let through is said when the certificate is issued"):
        book.change("nonconformity", "N1", state="closed", decision="see N5")
        run = book.say("issue", "31-001", "C-1", who="cy")
        tap.equal("issued", run.status, 0)
        tap.true("said", "let through by nonconformity N5" in run.err, run.err)


def two_points(book, name, thermometer, day, off_mK=0.0):
    """Gallium between two R(TPW): W1 at 9:00 and 15:00, Ga1 at 12:00."""
    tpw, gallium = r_tpw(25.5, off_mK), 25.5 * (1.1181 + 3.9524e-6 * off_mK)
    return measure(book, name, thermometer, [
        ("1", "W1", "H2O", tpw, f"{day}T09:00"), ("2", "Ga1", "Ga", gallium, f"{day}T12:00"),
        ("3", "W1", "H2O", r_tpw(25.5, 0), f"{day}T15:00")])


def stay(book, calibration, visits, water, gallium):
    for visit in visits:
        book.change("visit", f"{calibration}/{visit}", realisation=gallium if visit == "2" else water)


def test_own_certificate(tap, book):
    """31-001 has certificate C-1, of 1 June 2031; the thermometer comes back in August."""
    with tap.case("where a receipt doesn't say it, the last R(TPW) is that of the book's certificate"):
        example = JOB.parent
        (book.folder / "readings.csv").write_text(
            (example / "readings.csv").read_text(encoding="utf-8").replace("2031-03-", "2031-09-"),
            encoding="utf-8")
        again = book.folder / "again.yaml"
        again.write_bytes(JOB.read_bytes())
        run = book.say("job", again, "31-002")
        tap.equal("job", (run.status, run.err), (0, ""))
        path = book.folder / "result.json"
        book.say("certificate", "C-1", "--result", path, who=None)
        last_ohm = json.loads(path.read_text(encoding="utf-8"))["r_tpw"]["sequence"][-1]["ohm"]["value"]
        tap.equal("receipt", book.put("receipt", "R8", receipt(
            time="2031-08-15T09:00:00Z", r_tpw_ohm=r_tpw(last_ohm, -7.5))).status, 0)
        (state, said), = of(book, "receipt", "31-002")
        tap.equal("passed", (state, "last certificate C-1 by 7.5 mK" in said), ("passed", True))
        book.put("receipt", "R8", receipt(time="2031-05-15T09:00:00Z", r_tpw_ohm=25.5))
        tap.equal("before that there was none", of(book, "receipt", "31-002")[0][0], "not judged")


def test_check_thermometers(tap, book):
    def states():
        return [state for state, _ in of(book, "check thermometers", "31-100")]

    def lie(realisation):
        """(state, mK) of the visits of check thermometers there."""
        found = [(state, re.search(r"lies from the mean of its (\d+) earlier values by ([0-9.]+) mK",
                                   said)) for state, said in of(book, "check thermometers", "31-100")
                 if said.startswith(f"realisation {realisation}:")]
        return [(state, int(m[1]), float(m[2])) for state, m in found if m]

    with tap.case("without limits of its own a laboratory isn't held to check thermometers"):
        tap.equal("calibration", two_points(book, "31-100", "T-1", "2031-05-10").status, 0)
        tap.equal("none", states(), [])
    with tap.case("where it asks for them, visits without a realisation can't be judged by them"):
        book.put("limits", "L3", {"from": "2031-05-01", "limits": [
            {"name": "check_thermometer_visits", "value": 1, "unit": "1", "source": "manual 8.1"},
            {"name": "check_thermometer_least", "value": 3, "unit": "1", "source": "manual 8.2"}]})
        tap.equal("closed", states(), ["closed"] * 3)
        for identity, cell in (("M1", "W1"), ("F1", "Ga1")):
            tap.equal(identity, book.put("realisation", identity, {
                "cell": cell, "method": "other", "begun": "2031-05-09T00:00:00Z", "person": "ada",
                "state": "usable"}).status, 0)
        stay(book, "31-100", "123", "M1", "F1")
        tap.equal("nobody before or after", states(), ["closed"] * 4)
        said = of(book, "check thermometers", "31-100")[0][1]
        tap.true("count, limit, source", "realisation M1: visits of check thermometers before those "
                 "of the calibration: 0; at least 1 is asked (manual 8.1" in said, said)
    with tap.case("first and last in the mantle and in the freeze, within the limits of its history"):
        # 0.1 mK up, 0.1 mK down: s = 0.1155 mK of four values, +- 0.346 mK for k = 3
        for month, off_mK in enumerate((0.1, -0.1, 0.1, -0.1), 1):
            measure(book, f"C-{month}", "C-1", [
                ("1", "W1", "H2O", r_tpw(25.5, off_mK), f"2031-0{month}-01T09:00"),
                ("2", "Ga1", "Ga", r_tpw(25.5, off_mK) * (1.1181 + 3.9524e-6 * off_mK),
                 f"2031-0{month}-01T06:00")])
        book.change("thermometer", "C-1", check_thermometer=True)
        for name, clock, off_mK in (("first", "08:00", 0.2), ("last", "17:00", -0.3)):
            measure(book, f"B-{name}", "C-1", [
                ("1", "W1", "H2O", r_tpw(25.5, off_mK), f"2031-05-10T{clock}"),
                ("2", "Ga1", "Ga", r_tpw(25.5, off_mK) * (1.1181 + 3.9524e-6 * off_mK),
                 f"2031-05-10T{clock}")])
        stay(book, "B-first", "12", "M1", "F1")
        tap.equal("only before", states().count("closed"), 2)
        stay(book, "B-last", "12", "M1", "F1")
        tap.equal("all of it", set(states()), {"passed"})
        for realisation in ("M1", "F1"):
            (first, n, a), (last, _, b) = lie(realisation)
            tap.equal("history before it", (first, last, n), ("passed", "passed", 4))
            tap.near("first", a, 0.2, 0.002)
            tap.near("last", b, 0.3, 0.002)
    with tap.case("a check thermometer beyond its limits closes the realisation"):
        book.put("limits", "L4", {"from": "2031-05-01", "limits": [
            {"name": "check_thermometer_mK", "value": 0.25, "unit": "mK", "source": "manual 8.3"}]})
        tap.equal("0.25 mK", [state for state, _, _ in lie("M1")], ["passed", "closed"])
        said = [s for state, s in of(book, "check thermometers", "31-100") if state == "closed"][0]
        tap.true("said", "C-1 in visit B-last/1" in said and "at most 0.25 mK" in said and
                 "manual 8.3" in said, said)
        book.change("limits", "L4", limits=[
            {"name": "check_thermometer_k", "value": 2, "unit": "1", "source": "manual 8.4"}])
        tap.equal("two s are 0.231 mK", [state for state, _, _ in lie("F1")], ["passed", "closed"])
        said = [s for state, s in of(book, "check thermometers", "31-100") if state == "closed"][0]
        tap.true("s and dof", "at most 0.231 mK is asked (2 s with 3 degrees of freedom; manual 8.4"
                 in said, said)
        book.change("limits", "L4", limits=[
            {"name": "check_thermometer_least", "value": 5, "unit": "1", "source": "manual 8.2"}])
        tap.equal("too short a history", sum(state == "not judged" for state in states()), 4)


def main():
    tap = Tap()
    with folder() as where:
        book = Book(pathlib.Path(where))
        begin(tap, book)
        test_json(tap, book)
        test_stability(tap, book)
        test_receipt(tap, book)
        test_treatment(tap, book)
        test_equipment(tap, book)
        test_decision(tap, book)
        test_own_certificate(tap, book)
        test_check_thermometers(tap, book)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
