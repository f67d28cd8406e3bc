#!/usr/bin/python3
"""A machine that fails while `firn` reads or writes: full disk, limit on file size, reader gone.

Nothing half-written stays, what was there before stays as it was, and the exit status is 3; a reader
that closes the pipe is no failure. Files that cannot be read, and absurd ones, are the user's: 2.
"""
import contextlib
import os
import resource
import shutil
import signal
import subprocess
import sys
import time

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "support"))
from firn_run import Tap, firn, folder, program, write  # noqa: E402

GOOD = os.path.join(HERE, "..", "command", "bad", "good")
INPUT = ("job.yaml", "readings.csv", "model.yaml")
BIG = 200_000_000  # bytes of an absurd job


def lay_out(where, outputs=()):
    for name in INPUT:
        shutil.copy(os.path.join(GOOD, name), where)
    for name in outputs:
        write(where, name, "from before\n")


def limited(limit, where, *args):
    """Runs firn with a limit on the size of files that it writes."""
    def set_limit():
        resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
        signal.signal(signal.SIGXFSZ, signal.SIG_DFL)  # Python ignores it
    return subprocess.run([program(), *args], cwd=where, preexec_fn=set_limit, check=False,
                          stdout=subprocess.PIPE, stderr=subprocess.PIPE, timeout=120)


def unchanged(tap, where, outputs):
    for name in outputs:
        with open(os.path.join(where, name), encoding="utf-8") as file:
            tap.equal(f"{name} is as it was", file.read(), "from before\n")
    tap.equal("nothing else is left", sorted(os.listdir(where)), sorted([*INPUT, *outputs]))


def size_limit(tap):
    """setrlimit(2): a write beyond the limit raises SIGXFSZ, or fails as EFBIG where that is ignored."""
    for option, name in (("--result", "r.json"), ("--pdf", "r.pdf")):
        for before in ((), (name,)):
            for limit in (0, 1, 4096):
                case = f"{option}, a limit of {limit} bytes{', over a file' if before else ''}"
                with tap.case(case), folder() as where:
                    lay_out(where, before)
                    done = limited(limit, where, "reduce", option, name, "job.yaml")
                    tap.equal("exit status", done.returncode, 3)
                    tap.true("the file is named", name.encode() in done.stderr,
                             done.stderr.decode())
                    tap.equal("no result on stdout", done.stdout, b"")
                    unchanged(tap, where, before)
    with tap.case("stdout that meets the limit"), folder() as where:
        lay_out(where)
        with open(os.path.join(where, "out"), "wb") as out:
            done = subprocess.run(
                [program(), "reduce", "--json", "job.yaml"], cwd=where, stdout=out,
                stderr=subprocess.PIPE, check=False, timeout=120,
                preexec_fn=lambda: (resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096)),
                                    signal.signal(signal.SIGXFSZ, signal.SIG_DFL)))
        tap.equal("exit status", done.returncode, 3)
        tap.true("a message", len(done.stderr) > 10, done.stderr.decode())


@contextlib.contextmanager
def small_disk(kilobytes):
    """A file system in memory, so small that it fills; None where that needs other rights."""
    with folder() as where:
        done = subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={kilobytes}k", "tmpfs", where],
                              stderr=subprocess.DEVNULL, check=False)
        if done.returncode != 0:
            yield None
            return
        try:
            yield where
        finally:
            subprocess.run(["umount", where], check=False)


def full_disk(tap):
    with small_disk(64) as where:
        name = "a full disk"
        if where is None:
            tap.skip(name, "a file system cannot be mounted here")
            return
        for option, output in (("--result", "r.json"), ("--pdf", "r.pdf")):
            for before in ((), (output,)):
                with tap.case(f"{name}: {option}{', over a file' if before else ''}"):
                    for left in os.listdir(where):
                        os.remove(os.path.join(where, left))
                    lay_out(where, before)
                    with open(os.path.join(where, "filler"), "wb", buffering=0) as filler:
                        with contextlib.suppress(OSError):
                            while True:
                                filler.write(bytes(512))
                    run = firn("reduce", option, output, "job.yaml", cwd=where)
                    tap.status(run, 3)
                    tap.true("the file is named", output in run.err, run.err)
                    os.remove(os.path.join(where, "filler"))
                    unchanged(tap, where, before)


def closed_pipe(tap):
    """A reader that has seen enough: no message, no failure, and files are written all the same."""
    for args in (("reduce", "job.yaml"), ("reduce", "--json", "job.yaml"),
                 ("reduce", "--json", "--result", "r.json", "job.yaml"),
                 ("evaluate", "model.yaml"), ("scale", "points")):
        with tap.case(f"a closed pipe: {' '.join(args)}"), folder() as where:
            lay_out(where)
            read_end, write_end = os.pipe()
            os.close(read_end)
            done = subprocess.run([program(), *args], cwd=where, stdout=write_end,
                                  stderr=subprocess.PIPE, check=False, timeout=120)
            os.close(write_end)
            tap.equal("exit status", done.returncode, 0)
            tap.equal("stderr", done.stderr, b"")
            tap.equal("the result is there", os.path.exists(os.path.join(where, "r.json")),
                      "--result" in args)
    with tap.case("a closed pipe ends a filter whose input goes on"):
        source = subprocess.Popen(["yes", "300"], stdout=subprocess.PIPE)
        filter_ = subprocess.Popen([program(), "scale", "reference"], stdin=source.stdout,
                                   stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        source.stdout.close()
        filter_.stdout.read(10)
        filter_.stdout.close()
        try:
            status = filter_.wait(timeout=20)
        except subprocess.TimeoutExpired:
            status = "it went on for 20 s"
            filter_.kill()
        tap.equal("exit status", status, 0)
        source.kill()
        source.wait()


def full_stdout_of_filter(tap):
    """More than fits a buffer, so the failure comes before the last write."""
    name = "a filter into a full device"
    if not os.path.exists("/dev/full"):
        tap.skip(name, "no /dev/full here")
        return
    for lines in (1, 20_000):
        with tap.case(f"{name}, {lines} lines"):
            with open("/dev/full", "wb") as full:
                run = firn("scale", "reference", stdin="300\n" * lines, stdout=full)
            tap.status(run, 3)
            tap.true("a message", len(run.err) > 10, run.err)


def unreadable(tap):
    name = "files that may not be read"
    if os.geteuid() == 0 and shutil.which("setpriv") is None:
        tap.skip(name, "root may read everything, and setpriv is not here")
    else:
        with tap.case(name), folder() as where:
            lay_out(where)
            os.chmod(where, 0o755)
            for file in INPUT:
                os.chmod(os.path.join(where, file), 0)
            drop = [] if os.geteuid() != 0 else ["setpriv", "--reuid=65534", "--regid=65534",
                                                 "--clear-groups"]
            for args in (("reduce", "job.yaml"), ("evaluate", "model.yaml")):
                done = subprocess.run([*drop, program(), *args], cwd=where, check=False,
                                      stdout=subprocess.PIPE, stderr=subprocess.PIPE)
                tap.equal("exit status", done.returncode, 2)
                tap.true("says who may read it", b"may not be read" in done.stderr
                         or b"ermission" in done.stderr, done.stderr.decode())
    with tap.case("directories in place of files"), folder() as where:
        lay_out(where)
        os.mkdir(os.path.join(where, "d"))
        for args in (("reduce", "d"), ("evaluate", "d"), ("reduce", "--result", "d", "job.yaml"),
                     ("reduce", "--pdf", "d", "job.yaml")):
            run = firn(*args, cwd=where)
            tap.status(run, 2)
            tap.true("the directory is named", run.err.startswith("d:"), run.err)
        tap.equal("and stays empty", os.listdir(os.path.join(where, "d")), [])


def absurd(tap):
    """A job of 200 MB is refused for its size, at once, without being read to its end."""
    with tap.case("a job of 200 MB"), folder() as where:
        path = os.path.join(where, "job.yaml")
        line = b"  - {id: 1, cell: W1, resistor: S, bridge: B1, depth_m: 0.251}\n"
        with open(path, "wb") as file:
            file.write(b"kind: fixed-point calibration\nvisits:\n")
            for _ in range(BIG // (len(line) * 1000) + 1):
                file.write(line * 1000)
        for command in ("reduce", "evaluate"):
            started = time.monotonic()
            run = firn(command, path)
            tap.status(run, 2)
            tap.equal("message", run.err, f"{path}: the file is larger than 8 MB; a job or a model "
                      "is smaller than that\n")
            tap.true("within 2 s", time.monotonic() - started < 2.0)


def main():
    tap = Tap()
    for work in (size_limit, full_disk, closed_pipe, full_stdout_of_filter, unreadable, absurd):
        work(tap)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
