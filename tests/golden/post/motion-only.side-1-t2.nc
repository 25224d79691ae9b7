(side-1, tool 2 alone; the spindle is switched by hand)
(Fenmoor 43, first side)
(Judged by calculation and not run on a machine; wear eye protection, cut air first, go block by)
(block, and stop at once when anything differs from the sheet.)
G21 G18 G40 G49 G90 G94 G61 G54
G92.1
(the blade follows)

(Part to a neck)
G21 G18 G40 G90 G94 G61 G54
(MSG, By hand: spindle on, 1500 rev/min, sense of M4; go on when it is up to speed)
M0
G0 X1.2000 Z5.0000
G0 Z-4.8000
G1 X0.3000 F7.5
G4 P0.3
G0 X1.2000
G0 Z5.0000
G0 X5.0000
(MSG, The end: spindle off by hand)
M2
