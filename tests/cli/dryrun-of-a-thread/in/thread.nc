(a thread of 0.2 mm lead from the end to Z-1.5, in two passes of 0.05 mm that run out along a slope, on a control that has G33)
G18 G21 G40 G49 G90 G94 G61
G55 T2 M6
S500 M3
G4 P2
G0 X2 Z0.4
X0.95
G33 Z-1.5 K0.2
X1.05 Z-1.55 K0.2
G0 X2
Z0.4
X0.9
G33 Z-1.5 K0.2
X1.05 Z-1.55 K0.2
G0 X15
Z29
M5
M30
