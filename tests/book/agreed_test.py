#!/usr/bin/python3
"""What was agreed with a customer and what a value must rest on, in the plan and before the release:
range, U, decision rule; certificates of equipment; ambient conditions. On SQLite; on PostgreSQL too
where FIRN_BOOK_SERVER names a server (tests/support/book_server.py).
"""
import pathlib
import sys

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "support"))
sys.path.insert(0, str(HERE))
from book import Book, certify, person  # noqa: E402
from firn_run import Tap, folder  # noqa: E402
from gates_test import of  # noqa: E402

JOB = HERE.parent.parent / "examples" / "long-stem-25-ohm" / "job.yaml"  # argon to aluminium
ORDER = {"customer": "K1", "thermometers": ["S-114"], "date": "2031-02-01", "low_C": -189.3442,
         "high_C": 660.323, "U_mK": 10, "promised": "2031-07-01", "state": "open"}


def begin(tap, book):
    with tap.case("a laboratory, its customer and an order"):
        tap.equal("begun", book.begin().status, 0)
        for name, acts in (("bo", ["operate"]), ("dee", ["check"]), ("cy", ["issue"])):
            tap.equal(name, book.put("person", name, person(name.title(), *acts)).status, 0)
        tap.equal("scope", book.change("laboratory", "laboratory", scope=[
            {"low_C": -189.4, "high_C": 420, "U_mK": 0.3}, {"low_C": 420, "high_C": 661, "U_mK": 2}
        ]).status, 0)
        book.put("customer", "K1", {"name": "Tarn Valley Waterworks", "address": "Weir House"})
        tap.equal("thermometer", book.put("thermometer", "S-114", {
            "state": "in service", "job": {"sensor": "long stem", "nominal_ohm": 25.5}}).status, 0)
        tap.equal("order", book.put("order", "O-1", ORDER).status, 0)


def plan(tap, book):
    def planned(*subranges):
        return book.say("plan", "31-900", "S-114", *subranges, "--order", "O-1")
    with tap.case("a plan covers the range that was agreed"):
        run = planned("H2O_Zn", "Ar_H2O")
        tap.equal("to zinc", (run.status, "from 419.527 °C on there is no subrange" in run.err),
                  (2, True))
        run = planned("H2O_Al")
        tap.equal("no argon", (run.status, "from -189.3442 °C on" in run.err), (2, True))
    with tap.case("no U is promised that the laboratory doesn't state"):
        book.change("order", "O-1", U_mK=1)
        run = planned("H2O_Al", "Ar_H2O")
        tap.equal("at aluminium", (run.status, "the laboratory states no less than 2 mK at Al"
                                   in run.err), (2, True))
        tap.equal("only there", run.err.count("\n"), 1)
    with tap.case("no point outside the scope"):
        book.change("order", "O-1", U_mK=10, high_C=961.78)
        run = planned("H2O_Ag", "Ar_H2O")
        tap.equal("silver", (run.status, "has the point Ag (961.78 °C), which is outside" in run.err),
                  (2, True))
        book.change("order", "O-1", high_C=660.323)
    with tap.case("a plan that fits tells what was agreed"):
        run = planned("H2O_Al", "Ar_H2O")
        tap.equal("status", (run.status, run.err), (0, ""))
        tap.equal("told", run.out.splitlines()[0], "order O-1 of K1: -189.3442 °C to 660.323 °C, "
                  "U = 10 mK (k = 2) wanted, conformity: no statement, promised for 2031-07-01")
        body = book.show("calibration", "31-900")
        tap.equal("kept", (body["order"], body["customer"]), ("O-1", "K1"))


def measured(tap, book):
    with tap.case("it is measured"):
        book.change("thermometer", "S-114", maker="Hollowmere workshop", serial="S-114", type="x",
                    job={"sensor": "long stem", "nominal_ohm": 25.5, "element_mm": 42,
                         "tip_to_element_mm": 6, "condition": "Received in good order, R(0.01 °C) "
                         "0.05 mK above its last value."})
        run = book.say("job", JOB, "31-900", who="bo")
        tap.equal("job", (run.status, run.err), (0, ""))
        tap.equal("reduced", book.say("reduce", "31-900", who="bo").status, 0)
        tap.equal("agreed", book.say("agree", "31-900", who="dee").status, 0)
        book.change("laboratory", "laboratory", scope=[{"low_C": -190, "high_C": 700, "U_mK": 0.01}])


def order(tap, book):
    def gate(n):
        return of(book, "order", "31-900")[n]

    def issue():
        return book.say("issue", "31-900", "C-1", who="cy")
    with tap.case("the release is held to the range and the U of the order"):
        tap.equal("range", gate(0)[0], "passed")
        tap.equal("U", (gate(1)[0], "at most 10 mK is asked (agreed with the customer)" in gate(1)[1]),
                  ("passed", True))
        book.change("order", "O-1", U_mK=1)
        tap.equal("U", gate(1)[0], "closed")
        tap.true("refused", "order O-1: the largest U of the range (k = 2) is" in issue().err)
        book.change("order", "O-1", U_mK=10, high_C=700)
        tap.equal("range", (gate(0)[0], "from 660.323 °C on nothing is calibrated" in gate(0)[1]),
                  ("closed", True))
        book.change("order", "O-1", high_C=400)
        tap.equal("a narrower one", gate(0)[0], "passed")
    with tap.case("a statement of conformity goes by the rule that was agreed"):
        tap.equal("none", len(of(book, "order", "31-900")), 2)
        for rule in ("simple acceptance", "guarded by U"):
            book.change("order", "O-1", decision_rule=rule)
            tap.equal(rule, (gate(2)[0], f"met by the rule agreed ({rule})" in gate(2)[1]),
                      ("passed", True))
        tap.equal("no other rule", book.change("order", "O-1", decision_rule="as usual").status, 2)


def standards(tap, book):
    names = ("R-100-3", "B2", "W3", "Al2", "Zn1", "Sn2", "In2", "Hg1", "Ar1")
    with tap.case("whatever a value rests on has a certificate in the book"):
        gates = of(book, "traceability", "31-900")
        tap.equal("closed", [state for state, _ in gates], ["closed"] * len(names))
        tap.equal("all of them", {said.split(":")[0].split()[1] for _, said in gates}, set(names))
        tap.equal("certified", certify(book, *names), [])
        tap.equal("passed", {state for state, _ in of(book, "traceability", "31-900")}, {"passed"})
        book.change("equipment certificate", "E-B2", date="2031-04-01")
        tap.equal("one that came later", [said.split(":")[0] for state, said in of(
            book, "traceability", "31-900") if state == "closed"], ["bridge B2"])
        book.change("equipment certificate", "E-B2", date="2031-01-01")
    with tap.case("a resistor isn't known better than its certificate says"):
        paper = {"value": 100.0005, "U": 2e-5, "k": 2, "unit": "ohm"}
        book.change("equipment certificate", "E-R-100-3", **paper)
        state, said = of(book, "traceability", "31-900")[-1]
        tap.equal("u = U/k", (state, "its record states u = 1e-05 ohm" in said), ("passed", True))
        book.change("equipment certificate", "E-R-100-3", U=5e-5)
        state, said = of(book, "traceability", "31-900")[-1]
        tap.equal("u < U/k", (state, "at least 2.5e-05 ohm is asked (U/k of its certificate E-R-100-3"
                              in said), ("closed", True))
        book.change("equipment certificate", "E-R-100-3", U=2e-5)


def ambient(tap, book):
    def noted(start, until, low):
        return book.put("ambient", "A1", {"from": start, "until": until, "low_C": low, "high_C": 20.6,
                                          "low_percent": 38, "high_percent": 47})

    def state(n=0):
        return of(book, "ambient", "31-900")[n][0]
    with tap.case("ambient conditions are noted through all readings, and within limits"):
        tap.equal("none", state(), "not judged")
        noted("2031-03-04T08:00:00Z", "2031-03-04T18:00:00Z", 19.7)
        book.change("calibration", "31-900", ambient=["A1"])
        tap.equal("a day of them", state(), "closed")
        noted("2031-03-01T08:00:00Z", "2031-03-31T18:00:00Z", 19.7)
        tap.equal("all", state(), "passed")
        book.put("limits", "L2", {"from": "2031-01-01", "limits": [
            {"name": "ambient_low_C", "value": 19, "unit": "°C", "source": "quality manual 5"},
            {"name": "ambient_high_C", "value": 20.5, "unit": "°C", "source": "quality manual 5"}]})
        tap.equal("low", state(1), "passed")
        tap.equal("high", state(2), "closed")
    with tap.case("decisions open the gates, and the certificate is issued"):
        tap.equal("fen", book.put("person", "fen", person("Fen", "operate", "issue")).status, 0)
        book.put("nonconformity", "N1", {"about": ["31-900"], "opened": "2031-06-01T08:00:00Z",
                                         "person": "ada", "what": "0.1 K too warm for an hour",
                                         "state": "open", "gate": "ambient"})
        run = book.say("issue", "31-900", "C-1", who="cy")
        tap.equal("held", (run.status, "nonconformity N1" in run.err), (2, True))
        closed = book.change("nonconformity", "N1", who="fen", state="closed", decision="of no weight")
        tap.equal("closed", closed.status, 0)
        tap.equal("opened", state(2).split(":")[0], "opened by nonconformity N1, fen")
        run = book.say("issue", "31-900", "C-1", who="cy")
        tap.equal("its rule is not the one it was reduced with",
                  (run.status, "is not what was reduced" in run.err), (2, True))
        book.say("reduce", "31-900", who="bo")
        book.say("agree", "31-900", who="dee")
        run = book.say("issue", "31-900", "C-1", who="cy")
        tap.equal("issued", (run.status, "let through by nonconformity N1" in run.err), (0, True))


def main():
    tap = Tap()
    with folder() as where:
        book = Book(pathlib.Path(where))
        begin(tap, book)
        plan(tap, book)
        measured(tap, book)
        order(tap, book)
        standards(tap, book)
        ambient(tap, book)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
