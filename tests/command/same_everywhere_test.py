#!/usr/bin/python3
"""`firn` gives the same bytes run after run, with any number of threads and in any locale."""
import os
import shutil
import subprocess
import sys

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "support"))
from firn_run import Tap, firn, folder, write  # noqa: E402

ORACLE = os.path.join(HERE, "..", "oracle")
CALLS = {
    "scale reference": ["scale", "reference", "100.25", "600.125"],
    "scale inverse": ["scale", "inverse", "0.75", "1.0000123"],
    "scale difference": ["scale", "difference", "100.5"],
    "scale points": ["scale", "points"],
    "evaluate": ["evaluate", os.path.join(ORACLE, "evaluate", "gum-h2.yaml")],
    "evaluate --json": ["evaluate", "--json", os.path.join(ORACLE, "evaluate", "gum-h1.yaml")],
    "reduce": ["reduce", os.path.join(ORACLE, "full-1", "job.yaml")],
    "reduce --json": ["reduce", "--json", os.path.join(ORACLE, "full-3", "job-c.yaml")],
}


def with_threads(args, n):
    return [args[0], "--threads", str(n)] + args[1:]


def again_and_threads(tap, first):
    for name, args in CALLS.items():
        with tap.case(f"{name}: the same bytes again, and with 1, 2 and 7 threads"):
            tap.status(first[name], 0)
            tap.true("there is an answer", len(first[name].out) > 1, first[name].describe())
            tap.true("again", firn(*args).out == first[name].out)
            for n in (1, 2, 7):
                run = firn(*with_threads(args, n))
                tap.status(run, 0)
                tap.true(f"{n} threads", run.out == first[name].out, run.out[:300])


def pdf(tap):
    with tap.case("reduce --pdf: the same bytes again"), folder() as where:
        data = []
        for name in ("a.pdf", "b.pdf"):
            path = os.path.join(where, name)
            tap.status(firn("reduce", "--pdf", path, os.path.join(ORACLE, "full-1", "job.yaml")), 0)
            with open(path, "rb") as file:
                data.append(file.read())
        tap.true("equal", data[0] == data[1])


def comma_locale(where):
    """Settings for a locale with a decimal comma: one that is installed, or one made here."""
    known = subprocess.run(["locale", "-a"], capture_output=True, text=True, check=False).stdout.split()
    for name in known:
        if name.lower().replace("-", "") in ("de_de.utf8", "fr_fr.utf8", "nl_nl.utf8"):
            return {"LC_ALL": name}
    if shutil.which("localedef") is None:
        return None
    made = subprocess.run(["localedef", "-i", "de_DE", "-f", "UTF-8",
                           os.path.join(where, "de_DE.UTF-8")], capture_output=True, check=False)
    if not os.path.isdir(os.path.join(where, "de_DE.UTF-8")) or made.returncode > 1:
        return None
    return {"LC_ALL": "de_DE.UTF-8", "LOCPATH": where}


def locales(tap, first):
    with folder() as where:
        comma = comma_locale(where)
        settings = {"LC_ALL=de_DE.UTF-8, there or not": {"LC_ALL": "de_DE.UTF-8"},
                    "LC_ALL=C": {"LC_ALL": "C"}}
        if comma is None:
            tap.skip("a locale that writes a decimal comma", "none installed and none to be made")
        else:
            with tap.case("the locale of the next cases does write a decimal comma"):
                shown = subprocess.run(["/usr/bin/python3", "-c", "import locale; "
                                        "locale.setlocale(locale.LC_ALL, ''); "
                                        "print(locale.localeconv()['decimal_point'])"],
                                       env={**os.environ, **comma}, capture_output=True, text=True,
                                       check=False)
                tap.equal("decimal sign", shown.stdout.strip(), ",")
            settings["a decimal comma"] = comma
        for what, setting in settings.items():
            with tap.case(f"{what}: the same bytes"):
                for name, args in CALLS.items():
                    run = firn(*args, env=setting)
                    tap.status(run, 0)
                    tap.true(name, run.out == first[name].out, run.out[:300])
            with tap.case(f"{what}: numbers are read with a point, and a comma is refused"):
                tap.true("point", firn("scale", "reference", stdin="100.25\n", env=setting).out ==
                         first["scale reference"].out.splitlines(True)[0])
                tap.status(firn("scale", "reference", stdin="100,25\n", env=setting), 2)


def numbers_read_back(tap):
    """As many digits as read back to the same double, and no more: what repr gives."""
    with tap.case("numbers have the fewest digits that read back to the same double"):
        words = firn("scale", "reference", *[str(20 + 0.37 * i) for i in range(300)]).out.split()
        tap.equal("answers", len(words), 300)
        for word in words:
            digits = word.replace(".", "").replace("-", "").split("e")[0].strip("0")
            want = repr(float(word)).replace(".", "").replace("-", "").split("e")[0].strip("0")
            tap.equal(word, digits, want)


def quiet_stdin(tap):
    with tap.case("commands that read a file leave stdin alone"), folder() as where:
        model = write(where, "m.yaml", "kind: measurement model\ntitle: A\ninputs:\n"
                      "  a: {value: 1, u: 0.1}\noutputs:\n  y: {formula: 2*a}\n")
        run = firn("evaluate", model, stdin="300\nwarm\n")
        tap.status(run, 0)
        tap.equal("stderr", run.err, "")


def main():
    tap = Tap()
    first = {name: firn(*args) for name, args in CALLS.items()}
    again_and_threads(tap, first)
    pdf(tap)
    locales(tap, first)
    numbers_read_back(tap)
    quiet_stdin(tap)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
