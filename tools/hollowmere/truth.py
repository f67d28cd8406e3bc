"""What is true of the equipment and nobody knows: errors that stay, and how they move over the years."""
import datetime

from examples.laboratory import Draws, Laboratory

START = datetime.date(2028, 1, 1)
# Changes a year. Of resistors in parts of their value; of cells in kelvin.
RESISTOR_DRIFT = {"R-100-3": 6e-8, "R-100-4": 7e-7, "R-25-1": -9e-8, "R-25-2": 1.2e-7}
CELL_DRIFT_K = {"W4": -50e-6}
# Draws that belong to the equipment, and to the thermometer, and not to one calibration.
_OF_EQUIPMENT = ("resistor ", "cell ", "bridge ", "A_D", "A_18")
_OF_THERMOMETER = "between points"


def years(date):
    return (date - START).days / 365.25


class Truth:
    """Of all equipment. resistors: their values at START, in ohm, at 23 °C."""

    def __init__(self, seed, resistors):
        self.seed, self._resistors = seed, resistors
        self.draws = Draws(f"{seed}/equipment")

    def resistor_ohm(self, name, date):
        return self._resistors[name] * (1.0 + RESISTOR_DRIFT[name] * years(date))

    def cell_K(self, name, date):
        """How far a cell has moved since START."""
        return CELL_DRIFT_K.get(name, 0.0) * years(date)


class _Draws(Draws):
    """Of one calibration; what belongs to equipment or thermometer is the same in all of them."""

    def __init__(self, truth, calibration, thermometer):
        super().__init__(f"{truth.seed}/{calibration}")
        self._equipment = truth.draws
        self._thermometer = Draws(f"{truth.seed}/{thermometer}")

    def stream(self, name):
        if name.startswith(_OF_EQUIPMENT):
            return self._equipment.stream(name)
        if name.startswith(_OF_THERMOMETER):
            return self._thermometer.stream(name)
        return super().stream(name)


class Bench(Laboratory):
    """One calibration, on the equipment as it truly is on that day."""

    def __init__(self, example, truth, date):
        self._truth, self._date = truth, date
        super().__init__(example, _Draws(truth, example.folder, example.job["thermometer"]["id"]))

    def _true_ohm(self, name):
        return self._truth.resistor_ohm(name, self._date)

    def _cell_K(self, visit):
        return super()._cell_K(visit) + self._truth.cell_K(visit.cell, self._date)
