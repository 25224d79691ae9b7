(second)
G21 G18 G40 G90 G95 G97 G61 G54
M5

(part through)
G21 G18 G40 G90 G95 G61 G54
(Tool 3: blade 0.6)
T3 M6
G97 S3000 M3
G4 P0.8
G0 X4.0000 Z-5.0000
(Second spindle takes the piece)
M10
G1 X-0.0400 F0.0040
G0 X4.0000
(Second spindle leaves with it)
M11
M5
M5
M2
