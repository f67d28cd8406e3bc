"""The list of acts, and the days on which they fall."""
import datetime
import json


def day(text):
    return datetime.date.fromisoformat(text)


def workday(start, n=0):
    """The n-th working day from a day on, which itself is the first one that counts as 0."""
    at = start
    while True:
        if at.weekday() < 5:
            if n == 0:
                return at
            n -= 1
        at += datetime.timedelta(days=1)


def at(date, clock="12:00"):
    """A moment of a day, as records have it."""
    return f"{date.isoformat()}T{clock}:00Z"


class History:
    """Acts in the order of their times; of one moment, in the order in which they were told."""

    def __init__(self):
        self._acts = []

    def act(self, when, who, do, name, *, why=None, **rest):
        said = {"do": do, "id": name, "who": who, "when": when, **rest}
        if why is not None:
            said["why"] = why
        self._acts.append(said)

    def put(self, when, who, kind, name, body, why=None):
        self.act(when, who, "put", name, why=why, kind=kind, body=body)

    def change(self, when, who, kind, name, body, why=None):
        """Nothing changes without a reason; the plain ones needn't be said each time."""
        if why is None:
            why = f"it is {body['state']} now" if "state" in body else "completed after the work"
        self.act(when, who, "change", name, why=why, kind=kind, body=body)

    def lines(self):
        return [json.dumps(said, ensure_ascii=False) for said in
                sorted(self._acts, key=lambda said: said["when"])]
