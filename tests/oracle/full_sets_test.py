#!/usr/bin/python3
"""`firn reduce` on four end-to-end sets against values computed at 40 digits.

README.md in this folder tells where the numbers come from and why the tolerances are what they
are. Every job of a set is run once; each group of results is one test case.
"""
import csv
import os
import sys

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "support"))
from firn_run import Tap, firn, folder  # noqa: E402

# The sets, and the calibration's own R(TPW) that their unknowns are divided by.
SETS = {"full-1": "11", "full-2": "9", "full-3": "1", "full-4": "9"}
NANO = 1e-9  # K; the agreement asked for, an arithmetic figure
R0_RELATIVE = 5e-15  # README.md, "Rounding"
W_RELATIVE = 1.5e-14
U_RELATIVE = 1e-6  # of uncertainties, sensitivities and covariances
SENSITIVITY_FLOOR = 1e-9  # K/K: sensitivities vanish at the fixed points
COVARIANCE_FLOOR = 1e-9  # of sqrt(Cii Cjj): elements that nearly cancel
COEFFICIENT_RELATIVE = 1e-9
USE = "use"


def expected(name, what):
    path = os.path.join(HERE, name, f"expected-{what}.csv")
    with open(path, encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def by_key(items, *keys):
    """Results by their keys; a result that stands twice is an error."""
    found = {}
    for item in items:
        key = tuple(item[k] for k in keys)
        if key in found:
            raise ValueError(f"{key} stands twice in the result")
        found[key] = item
    return found


def sensitivity(budget, name):
    """Of one input; 0 where the budget does not list it."""
    lines = [line for line in budget if line["input"] == name]
    if len(lines) > 1:
        raise ValueError(f"{name} stands {len(lines)} times in the budget")
    return lines[0]["sensitivity"] if lines else 0.0


class Set:
    """One set: its expected values and the results of its jobs."""

    def __init__(self, tap, name):
        self.tap, self.name, self.results = tap, name, {}

    def run(self, job):
        path = os.path.join(HERE, self.name, job + ".yaml")
        with self.tap.case(f"{self.name}/{job}: is computed"):
            run = firn("reduce", "--json", path)
            self.tap.status(run, 0)
            self.results[job] = run.json()
            self.tap.equal("kind", self.results[job]["kind"], "fixed-point calibration result")
        return job in self.results

    # --- corrections, W and coefficients -----------------------------------------------------

    def visits(self):
        tap, found = self.tap, by_key(self.results["job"]["visits"], "id")
        for want in expected(self.name, "corrections"):
            if want["point"] == "X":
                continue
            with tap.case(f"{self.name}: visit {want['seq']}, {want['point']}"):
                got = found[(want["seq"],)]
                tap.equal("point", got["point"], want["point"])
                r0 = float(want["R0_ohm"])
                tap.near("R0/ohm", got["r0_ohm"]["value"], r0, R0_RELATIVE * r0)
                heating = float(want["self_heating_at_i1_mK"]) * 1e-3
                # 8 digits are printed. At the TPW the slope of (9a) stands in the expected value; that
                # of (10a), as good there, is 1.5e-7 smaller.
                tap.near("self-heating/K", got["self_heating_K"], heating, 2.5e-7 * heating)
                self.corrections(got, want)
                tap.near("total/K", got["correction_total_K"],
                         float(want["dT_total_uK"]) * 1e-6, NANO)
                if want["point"] == "H2O":
                    continue
                w, wr = float(want["W"]), float(want["Wr"])
                tap.near("W", got["w"]["value"], w, W_RELATIVE * w)
                tap.near("Wr", got["wr"], wr, 1e-16)  # the very number of Table 1
                # S is printed to 12 decimals; W and Wr - 1 bring less than that.
                tap.near("S", got["s"], float(want["S"]), 1.5e-12)

    def corrections(self, got, want):
        """In kelvin, cell minus defined; one that is not listed counts as 0."""
        listed = {c["name"]: c["value_K"] for c in by_key(got["corrections"], "name").values()}
        for name, column in (("isotopes", "dT_isotopic_uK"), ("head", "dT_hydrostatic_uK"),
                             ("pressure", "dT_pressure_uK")):
            value = float(want[column]) * 1e-6
            self.tap.true(f"{name} is listed", value == 0 or name in listed, str(sorted(listed)))
            self.tap.near(f"{name}/K", listed.pop(name, 0.0), value, NANO)
        self.tap.true("no other correction acts", not any(listed.values()), str(listed))

    def unknown_w(self):
        tap = self.tap
        with tap.case(f"{self.name}: W of the unknowns"):
            want = {r["seq"]: r for r in expected(self.name, "corrections") if r["point"] == "X"}
            for got in self.results["job"]["temperatures"]:
                w = float(want[got["visit"]]["W"])
                tap.near(f"visit {got['visit']}", got["w"], w, W_RELATIVE * w)

    def coefficients(self, job, column):
        tap, rows = self.tap, expected(self.name, "coefficients")
        found = by_key(self.results[job]["subranges"], "name")
        with tap.case(f"{self.name}/{job}: subranges that the points allow"):
            tap.equal("names", sorted(k[0] for k in found), sorted({r["subrange"] for r in rows}))
        for subrange in dict.fromkeys(r["subrange"] for r in rows):
            with tap.case(f"{self.name}/{job}: coefficients of {subrange}"):
                got = found[(subrange,)]["coefficients"]
                want = {r["coefficient"]: float(r[column])
                        for r in rows if r["subrange"] == subrange}
                tap.equal("names", sorted(got), sorted(want))
                for key, value in want.items():
                    tap.near(key, got[key]["value"], value, COEFFICIENT_RELATIVE * abs(value))

    def temperatures(self):
        tap, rows = self.tap, expected(self.name, "temperatures")
        found = by_key(self.results["job"]["temperatures"], "visit", "subrange")
        with tap.case(f"{self.name}: every unknown in every subrange that holds it"):
            tap.equal("pairs", sorted(found), sorted((r["seq"], r["subrange"]) for r in rows))
        for subrange in dict.fromkeys(r["subrange"] for r in rows):
            with tap.case(f"{self.name}: T90 in {subrange}"):
                for want in (r for r in rows if r["subrange"] == subrange):
                    got = found[(want["seq"], subrange)]
                    tap.near(f"visit {want['seq']}, T90/K", got["t90_K"]["value"],
                             float(want["T90_exact_K"]), NANO)

    # --- uncertainty --------------------------------------------------------------------------

    def uncertainty(self, case, job, column, key):
        tap = self.tap
        found = by_key(self.results[job]["temperatures"], "visit", "subrange")
        with tap.case(f"{self.name}/{job}: {key} is case {case}"):
            for want in expected(self.name, "uncertainty"):
                u = float(want[column]) * 1e-3
                got = found[(want["seq"], want["subrange"])]["t90_K"]
                tap.near(f"visit {want['seq']}, {want['subrange']}", got[key], u, U_RELATIVE * u)

    def separate_terms(self):
        """Non-uniqueness (CCT Guide ch. 5 (2018), Tables 6 and 7) and subrange inconsistency
        (equation (54)) stand beside u, never in it; 8 digits are printed. And dT90/dW."""
        tap = self.tap
        found = by_key(self.results["job"]["temperatures"], "visit", "subrange")
        for key, column in (("non_uniqueness", "u_NU3_mK"), ("inconsistency", "u_SRI_mK")):
            rows = [r for r in expected(self.name, "uncertainty") if r[column]]
            if not rows:
                continue
            with tap.case(f"{self.name}: {key}"):
                for want in rows:
                    u = float(want[column]) * 1e-3
                    got = found[(want["seq"], want["subrange"])]["t90_K"]
                    tap.near(f"visit {want['seq']}, {want['subrange']}", got[key], u,
                             U_RELATIVE * u)
        with tap.case(f"{self.name}: dT90/dW"):
            for want in expected(self.name, "uncertainty"):
                slope = float(want["dT90_dW_K"])
                tap.near(f"visit {want['seq']}, {want['subrange']}",
                         found[(want["seq"], want["subrange"])]["dt_dw_K"], slope, 1e-9 * slope)

    def sensitivities(self):
        """The inputs are the temperature of a cell beyond what is ascribed to it, so ascribing a
        higher one is +1 and the sign is that of the expected dT90/dT."""
        wants = {}
        for r in expected(self.name, "sensitivities"):
            wants.setdefault((r["seq"], r["subrange"]), []).append(r)
        for job in ("job", "job-c", "job-c-prime"):
            self.sensitivities_of(job, wants)

    def sensitivities_of(self, job, wants):
        tap = self.tap
        found = by_key(self.results[job]["temperatures"], "visit", "subrange")
        with tap.case(f"{self.name}/{job}: sensitivities"):
            for (seq, subrange), rows in wants.items():
                got = found[(seq, subrange)]
                in_use, calibration = {}, {}
                for r in rows:
                    s = float(r["dT90_dT"])
                    if r["input"] != "TPW_use":
                        self.add(calibration, f"visit.{r['reading']}.realisation", s)
                        self.add(in_use, f"visit.{r['reading']}.realisation", s)
                    if r["input"] == "TPW":
                        self.add(calibration, "cell.W1.realisation", s)
                        self.add(in_use, "cell.W1.realisation", s)
                    if r["input"] == "TPW_use":
                        self.add_use(in_use, job, s)
                for key, want in (("budget_calibration", calibration), ("budget_in_use", in_use)):
                    for name, value in want.items():
                        tolerance = max(U_RELATIVE * abs(value), SENSITIVITY_FLOOR)
                        tap.near(f"{key} of visit {seq} in {subrange}: {name}",
                                 sensitivity(got[key], name), value, tolerance)

    def add_use(self, in_use, job, s):
        """The R(TPW) that W is formed with: the calibration's own visit, or the user's."""
        visit = USE if job != "job" else SETS[self.name]
        self.add(in_use, f"visit.{visit}.realisation", s)
        self.add(in_use, f"cell.{'W2' if job == 'job-c-prime' else 'W1'}.realisation", s)

    @staticmethod
    def add(sums, name, s):
        sums[name] = sums.get(name, 0.0) + s

    # --- covariance ---------------------------------------------------------------------------

    def covariance(self, case, job):
        tap = self.tap
        found = by_key(self.results[job]["subranges"], "name")
        rows = [r for r in expected(self.name, "covariance") if r["case"] == case]
        names = {"R_TPW_use": f"r_tpw.{USE}", "R_TPW_cal": f"r_tpw.{SETS[self.name]}"}
        for subrange in dict.fromkeys(r["subrange"] for r in rows):
            with tap.case(f"{self.name}/{job}: joint covariance of {subrange}, case {case}"):
                joint = found[(subrange,)]["joint"]
                order, matrix = joint["order"], joint["covariance"]
                mine = [r for r in rows if r["subrange"] == subrange]
                diagonal = {r["row"]: float(r["covariance"]) for r in mine
                            if r["row"] == r["column"]}
                for r in mine:
                    i, j = (order.index(names.get(r[k], r[k])) for k in ("row", "column"))
                    want = float(r["covariance"])
                    scale = (diagonal[r["row"]] * diagonal[r["column"]]) ** 0.5
                    tolerance = max(U_RELATIVE * abs(want), COVARIANCE_FLOOR * scale)
                    what = f"{r['row']}, {r['column']}"
                    tap.near(what, matrix[i][j], want, tolerance)
                    tap.near(f"{what} transposed", matrix[j][i], matrix[i][j], 0.0)
        self.coefficient_blocks(job, found)

    def coefficient_blocks(self, job, found):
        """The coefficients' own covariance is that block of the joint one, and u its diagonal."""
        tap = self.tap
        with tap.case(f"{self.name}/{job}: covariance of the coefficients alone"):
            for (name,), subrange in found.items():
                order, joint = subrange["order"], subrange["joint"]
                at = [joint["order"].index(key) for key in order]
                for i, key in enumerate(order):
                    variance = subrange["covariance"][i][i]
                    u = subrange["coefficients"][key]["u"]
                    tap.near(f"{name}: u({key})^2", u * u, variance, 1e-12 * variance)
                    for j, other in enumerate(order):
                        tap.near(f"{name}: {key}, {other}", subrange["covariance"][i][j],
                                 joint["covariance"][at[i]][at[j]], 0.0)


def same_elsewhere(tap):
    """The jobs of a set state the same calibration, so T90 is the same in all of them; and the
    result does not depend on where the program is started."""
    name = "full-2"
    with tap.case(f"{name}: T90 is the same in all uncertainty cases"):
        results = []
        for job in ("job", "job-a", "job-c", "job-c-prime"):
            run = firn("reduce", "--json", os.path.join(HERE, name, job + ".yaml"))
            tap.status(run, 0)
            results.append({(t["visit"], t["subrange"]): t["t90_K"]["value"]
                            for t in run.json()["temperatures"]})
        for other in results[1:]:
            tap.equal("temperatures", other, results[0])
    with tap.case(f"{name}: the same from another folder"):
        path = os.path.join(HERE, name)
        with folder() as elsewhere:
            far = firn("reduce", "--json", os.path.join(path, "job.yaml"), cwd=elsewhere)
        near = firn("reduce", "--json", "job.yaml", cwd=path)
        tap.status(far, 0)
        tap.status(near, 0)
        for key in ("visits", "subranges", "temperatures"):
            tap.equal(key, near.json()[key], far.json()[key])


def main():
    tap = Tap()
    for name in SETS:
        one = Set(tap, name)
        if all([one.run(job) for job in ("job", "job-a", "job-c", "job-c-prime", "job-equation")]):
            one.visits()
            one.unknown_w()
            one.coefficients("job", "value_Table1")
            one.coefficients("job-equation", "value_equation")
            one.temperatures()
            one.uncertainty("a", "job-a", "u_a_mK", "u_calibration")
            for job in ("job", "job-c", "job-c-prime"):
                one.uncertainty("b", job, "u_b_mK", "u_calibration")
            one.uncertainty("c", "job-c", "u_c_mK", "u_in_use")
            one.uncertainty("c'", "job-c-prime", "u_c_prime_mK", "u_in_use")
            one.uncertainty("d", "job", "u_d_mK", "u_in_use")
            one.separate_terms()
            one.sensitivities()
            one.covariance("a", "job-a")
            one.covariance("b", "job-c")
    same_elsewhere(tap)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
