"""A small inventory as a dealer's own system writes it, and the mapping file that reads it."""

from __future__ import annotations

# A year with a letter in it costs its car; a date in another order does not have to.
STOCK = """\
Stock No.,Maker,Model,Year,Gearbox,Drive,Fuel,Low range,Gross weight,Listed,Asking,Salesman
H-1041,Quillon,Pika,2021,M/T,4,gas,two speed,,2025-11-02,"20,900",Orrel
H-1042,Bessarin,Lowan,2021,CVT,F,gas,no,,2025-11-09,"18,700",Orrel
H-1047,Halvern,Wicket,2021,M/T,F,gas,no,"3,050 lb",31/12/2025,"12,600",Solvang
H-1050,Oskelund,Fjell,2023,???,4,diesel,???,"2,100 kg",2025-12-01,"33,800",Solvang
H-1053,Corvath,Dapple,2O20,A/T,F,gas,no,,2025-12-04,"14,250",Orrel
H-1055,Quillon,Pika,2022,A/T,4,gas,???,,2025-12-08,"24,450",Solvang
"""

MAPPING = """\
# How stock.csv is read. Both sides of a line are in quotes: theirs = ours.
[columns]
"Stock No." = "candidate"
"Maker" = "make"
"Model" = "model"
"Year" = "model_year"
"Gearbox" = "transmission"
"Drive" = "drivetrain"
"Fuel" = "powertrain"
"Low range" = "transfer_case"
"Gross weight" = "gvwr"
"Listed" = "listed_on"
"Asking" = "price"

[words.transmission]
"M/T" = "manual"
"A/T" = "automatic"
"???" = ""              # unknown: the cell counts as empty

[words.drivetrain]
"F" = "front_wheel_drive"
"4" = "four_driven_wheels"

[words.transfer_case]
"no" = "none"
"two speed" = "two_speed"
"???" = ""
"""
