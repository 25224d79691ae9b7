(side-1)
(Fenmoor 43, first side)
(Judged by calculation and not run on a machine; wear eye protection, cut air)
(first, go block by block, and stop at once when anything differs from the)
(sheet.)
G21 G18 G40 G90 G99 G97 G61 G54
M5

(Rough the pivot [upper], dia 0.110, 2 um)
G21 G18 G40 G90 G99 G61 G54
(Tool 1: point, nose 0.05)
T0101
G97 S6000 M3
G4 U1.5
G0 X2.4000 Z5.0000
G0 Z0.2000
G0 X0.1250
G1 Z-0.2600 F0.0040
G1 X0.8000
G3 X1.3796 Z-0.4824 R0.3000 F0.0020
G3 X1.1000 Z-0.8198 R0.3000
G1 X2.4000 Z-1.0000 F0.0100
G0 Z0.2000
M5
(MSG, Measure the upper pivot: 0.114 wanted; write half of what it is too)
(MSG, large, negative, over the number of its correction in the head of the)
(MSG, program)
M0
(Tool 1 again, with its offset as it stands now)
T0101
G97 S6000 M3
G4 U1.5

(Finish the pivot)
G21 G18 G40 G90 G99 G61 G54
G0 X0.1140 Z0.2000
G1 Z-0.2000 F0.0030
G2 X0.2140 Z-0.2866 R0.1000
G0 X2.4000 Z-0.2000
G0 Z5.0000
M5
G0 X10.0000
(the blade follows)

(Part to a neck)
G21 G18 G40 G90 G99 G61 G54
(Tool 2: blade 0.6)
T0202
G97 S1500 M4
G4 U0.4
G0 X2.4000 Z5.0000
G0 Z-4.8000
G1 X0.6000 F0.0050
G4 U0.3
G0 X2.4000
G0 Z5.0000
M5
G0 X10.0000
M5
M2
