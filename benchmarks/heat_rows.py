"""Conduction with freezing, beside the same equations by SciPy's sparse solvers."""
import importlib.util

from measure import Driver

DAY_S, TIMED_S = 86400, 600


def rows(table, build, _folder):
    """24 h of freezing; a month of melting; the first hour after an insertion. One run of each."""
    driver = Driver(build / "benchmarks" / "bench-heat")
    insertion = driver.ask("insert")
    table.row("first hour after an insertion", insertion, None, insertion, most=5, unit="s", scale=1)
    month = driver.ask("melt")
    table.row("a month of slow melt", month, None, month, most=5, unit="s", scale=1)
    if importlib.util.find_spec("scipy") is None:
        print("24 h of freezing: not measured, as SciPy is missing (package python3-scipy)")
        driver.close()
        return
    import scipy_freezing

    driver.ask("freeze", TIMED_S)
    ice = 1 - driver.ask("part")
    theirs, their_ice, _ = scipy_freezing.run(TIMED_S)
    # Their step is 30 s and knows the place of a front at its beginning only.
    if abs(their_ice / ice - 1) > 0.02:
        raise RuntimeError(f"after {TIMED_S} s {ice} is ice here, and {their_ice} with SciPy")
    day = driver.ask("freeze", DAY_S)
    table.row("24 h of freezing, SciPy's first 10 min to 24 h / ours", day, theirs * DAY_S / TIMED_S,
              theirs * DAY_S / TIMED_S / day, least=100, unit="s", scale=1)
    driver.close()
