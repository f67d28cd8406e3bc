#!/usr/bin/python3
"""Runs a command beside a throw-away PostgreSQL server, and ends both.

    book_server.py COMMAND ARGUMENT...

The server has a folder of its own, listens to a socket there and to no network, and is gone with its
data when the command ends. Its address stands in FIRN_BOOK_SERVER. It never runs as root: where this
script does, the server gets the user that the Debian package made for it.
"""
import contextlib
import ctypes
import os
import pathlib
import pwd
import shutil
import signal
import subprocess
import sys
import tempfile


def programs():
    """Of the newest server there is; Debian keeps them out of the path."""
    found = sorted(pathlib.Path("/usr/lib/postgresql").glob("*/bin/initdb"),
                   key=lambda path: int(path.parts[-3]))
    if not found:
        raise SystemExit("no PostgreSQL server is installed; tools/install-packages brings it")
    return found[-1].parent


PR_SET_CHILD_SUBREAPER = 36  # prctl(2)


def adopt_orphans():
    """What pg_ctl leaves behind becomes our child, so that kill() can wait for its end: until a dead
    process is reaped, the next server takes it for one that runs."""
    ctypes.CDLL(None, use_errno=True).prctl(PR_SET_CHILD_SUBREAPER, 1, 0, 0, 0)


class Server:
    """One server; start and stop may alternate, its data stay until remove."""

    def __init__(self):
        adopt_orphans()
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="firn-pg-"))
        self.user = {}
        if os.geteuid() == 0:
            postgres = pwd.getpwnam("postgres")
            os.chown(self.folder, postgres.pw_uid, postgres.pw_gid)
            self.user = {"user": postgres.pw_uid, "group": postgres.pw_gid, "extra_groups": []}
        self.run("initdb", "-D", self.folder / "data", "-E", "UTF8", "--locale=C", "-A", "trust",
                 "-U", "postgres", "--no-instructions")

    def run(self, program, *arguments, check=True):
        with open(self.folder / "control.log", "ab") as log:
            return subprocess.run([programs() / program, *arguments], stdout=log, stderr=log,
                                  stdin=subprocess.DEVNULL, cwd="/", check=check, timeout=120,
                                  **self.user)

    @property
    def address(self):
        return f"postgresql://postgres@/postgres?host={self.folder}"

    def start(self, *settings):
        options = f"-k {self.folder} -c listen_addresses='' " + " ".join(f"-c {s}" for s in settings)
        self.run("pg_ctl", "-D", self.folder / "data", "-l", self.folder / "server.log", "-w", "-o",
                 options, "start")

    def stop(self, mode="fast"):
        self.run("pg_ctl", "-D", self.folder / "data", "-m", mode, "-w", "stop", check=False)

    def kill(self):
        """All of its processes at once, as a power cut would but for the disk; returns when they
        are gone."""
        pid = int((self.folder / "data" / "postmaster.pid").read_text().split()[0])
        os.kill(pid, signal.SIGSTOP)  # it starts no more of them
        children = subprocess.run(["pgrep", "-P", str(pid)], capture_output=True, text=True,
                                  check=False).stdout.split()
        processes = [pid, *map(int, children)]
        for process in processes:
            with contextlib.suppress(ProcessLookupError):
                os.kill(process, signal.SIGKILL)
        for process in processes:
            with contextlib.suppress(ChildProcessError):
                os.waitpid(process, 0)

    def remove(self):
        self.stop("immediate")
        shutil.rmtree(self.folder, ignore_errors=True)


def main():
    server = Server()
    try:
        server.start()
        environment = dict(os.environ, FIRN_BOOK_SERVER=server.address)
        return subprocess.run(sys.argv[1:], env=environment, check=False).returncode
    finally:
        server.remove()


if __name__ == "__main__":
    sys.exit(main())
