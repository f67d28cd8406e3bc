"""Who ordered what, what came and when, and how it ended; who might do what of it."""

# Thermometers: owner, R(TPW) and its change in a half-year of use (mK), deviation functions, noise of
# one ratio, resistor and bridge, and what they look like.
_LONG = "four wires, silica sheath 480 mm by 7.5 mm"
THERMOMETERS = {
    "S-114": ("tarn-valley", 25.4786143, 0.35, (("Ar_H2O", (-2.4871e-4, 1.93e-5)),
              ("H2O_Al", (-2.6120e-4, -1.64e-5, 3.1e-6))), 1.6e-8, ("R-100-3", "B2"), _LONG),
    "S-088": ("upper-tarn", 100.0137261, 0.15, (("Hg_Ga", (-2.1850e-4, -1.12e-5)),) * 2, 1.2e-8,
              ("R-100-3", "B2"), "four wires, silica sheath 420 mm by 6 mm"),
    "S-121": ("cold-stores", 25.5120876, 0.2, (("Ar_H2O", (-1.9304e-4, 2.41e-5)),
              ("H2O_Zn", (-1.8862e-4, -1.27e-5))), 1.6e-8, ("R-100-3", "B2"), _LONG),
    "S-137": ("glassworks", 25.4413390, 0.6, (("Ar_H2O", (-3.0117e-4, 1.55e-5)),
              ("H2O_Al", (-3.1240e-4, -2.02e-5, 4.0e-6))), 5e-8, ("R-25-1", "B3"), _LONG),
    "S-142": ("school", 25.4900412, 0.25, (("Ar_H2O", (-2.2270e-4, 1.78e-5)),
              ("H2O_Zn", (-2.3015e-4, -1.43e-5))), 5e-8, ("R-25-2", "B3"), _LONG),
    "S-150": ("observatory", 100.0042195, 0.1, (("Hg_Ga", (-2.0733e-4, -0.94e-5)),) * 2, 1.2e-8,
              ("R-100-4", "B2"), "four wires, silica sheath 420 mm by 6 mm"),
    "K-1": (None, 25.4951877, 0.02, (("Ar_H2O", (-2.3391e-4, 1.83e-5)),
            ("H2O_Zn", (-2.4102e-4, -1.51e-5))), 1.6e-8, ("R-100-3", "B2"), _LONG),
    "K-2": (None, 100.0089214, 0.02, (("Hg_Ga", (-2.1128e-4, -1.02e-5)),) * 2, 1.2e-8,
            ("R-100-3", "B2"), "four wires, silica sheath 420 mm by 6 mm"),
}
# Subranges with the cells of their points, from the highest downwards; ends in °C.
RANGES = {"H2O_Al": (("Al2", "Zn1", "Sn2"), 0.0, 660.323), "H2O_Zn": (("Zn1", "Sn2"), 0.0, 419.527),
           "Ar_H2O": (("Hg1", "Ar1"), -189.3442, 0.0), "Hg_Ga": (("Ga1", "Hg1"), -38.8344, 29.7646),
           "H2O_Ga": (("Ga1",), 0.0, 29.7646)}
ANNEAL_C = {"H2O_Al": 675, "H2O_Zn": 480}

# Who was authorised from when to when, as the work of a fortnight asks for it.
OPERATE = {"ilse": ("2028", "2031"), "tam": ("2028", "2031"), "wren": ("2029-05-02", "2031")}
CHECK = {"tam": ("2028", "2031"), "odo": ("2028", "2029-06-08"), "ilse": ("2029-01-08", "2031")}
ISSUE = {"odo": ("2028", "2029-06-08")}

AL_AR, ZN_AR, ZN, NARROW, GA = (("H2O_Al", "Ar_H2O"), ("H2O_Zn", "Ar_H2O"), ("H2O_Zn",), ("Hg_Ga",),
                                ("H2O_Ga",))
ISSUED = "issued"
# Day of receipt, thermometer, ranges, water cell, how far it went. Number and year make its id.
SCHEDULE = (
    ("2028-02-07", "K-1", ZN, "W3", ISSUED), ("2028-02-21", "S-114", ("H2O_Al", "Hg_Ga"), "W3", ISSUED),
    ("2028-03-13", "S-088", NARROW, "W6", ISSUED), ("2028-03-27", "S-121", ZN, "W4", ISSUED),
    ("2028-04-17", "S-137", ("H2O_Al",), "W3", ISSUED), ("2028-05-08", "S-142", ZN, "W4", ISSUED),
    ("2028-05-22", "S-150", NARROW, "W6", ISSUED), ("2028-08-07", "S-114", AL_AR, "W3", ISSUED),
    ("2028-08-28", "S-088", NARROW, "W6", ISSUED), ("2028-09-11", "S-121", ZN_AR, "W4", ISSUED),
    ("2028-09-25", "S-137", AL_AR, "W3", ISSUED), ("2028-10-09", "S-150", NARROW, "W6", ISSUED),
    ("2029-02-05", "K-1", ZN_AR, "W3", ISSUED), ("2029-02-19", "S-114", AL_AR, "W3", ISSUED),
    ("2029-03-08", "S-088", NARROW, "W6", "broken off"), ("2029-03-19", "S-088", NARROW, "W3", ISSUED),
    ("2029-04-09", "S-121", ZN_AR, "W4", ISSUED), ("2029-04-23", "S-137", AL_AR, "W3", ISSUED),
    ("2029-05-14", "S-142", ZN_AR, "W4", ISSUED), ("2029-06-04", "S-150", GA, "W7", ISSUED),
    ("2029-08-06", "S-114", AL_AR, "W3", ISSUED), ("2029-08-27", "S-137", AL_AR, "W3", "damaged"),
    ("2029-09-03", "S-088", NARROW, "W7", ISSUED), ("2029-09-17", "S-121", ZN_AR, "W4", ISSUED),
    ("2029-10-08", "S-150", NARROW, "W7", ISSUED), ("2030-02-04", "K-1", ZN_AR, "W3", ISSUED),
    ("2030-02-18", "K-2", NARROW, "W7", ISSUED), ("2030-03-04", "S-114", AL_AR, "W3", ISSUED),
    ("2030-03-25", "S-088", NARROW, "W7", "withdrawn"), ("2030-04-08", "S-121", ZN_AR, "W4", ISSUED),
    ("2030-05-06", "S-142", ZN_AR, "W4", ISSUED), ("2030-08-05", "S-150", NARROW, "W7", ISSUED),
    ("2030-09-02", "S-121", ZN_AR, "W4", ISSUED), ("2030-11-18", "S-142", ZN_AR, "W4", "checked"),
    ("2030-11-25", "S-088", NARROW, "W7", "reduced"), ("2030-12-02", "K-2", NARROW, "W7", "measuring"),
    ("2030-12-09", "S-114", AL_AR, "W3", "planned"), ("2030-12-16", "S-150", NARROW, "W7", "planned"),
)
# Readings that somebody set aside: of which visit, which of the readings at the second current, by how
# many times the noise they are off, and why.
DISTURBED = {("28-006", 4): ({7: 46.0, 8: 31.0}, "lamp over the cell was lit at 10:38")}
# Replaced: the calibration by its day of receipt, when, why, and what the new report says besides.
REPLACED = (
    ("2029-05-14", "2029-08-01", "W4 was 0.07 mK colder than assumed (nonconformity N-29-2)", {}),
    ("2030-03-04", "2030-06-12", "the customer's department was missing in the address",
     {"customer_address": "Weir House, Department of Measures, Tarn Valley"}),
)
