(side-1, tool 1 alone; the spindle is switched by hand)
(Fenmoor 43, first side)
(Judged by calculation and not run on a machine; wear eye protection, cut air first, go block by)
(block, and stop at once when anything differs from the sheet.)
(Correction #101: upper pivot, on radius)
#101=0.0000
G21 G18 G40 G49 G90 G94 G61 G54
G92.1

(Rough the pivot [upper], dia 0.110, 2 um)
G21 G18 G40 G90 G94 G61 G54
(MSG, By hand: spindle on, 6000 rev/min, sense of M3; go on when it is up to speed)
M0
G0 X1.2000 Z5.0000
G0 Z0.2000
G0 X0.0625
G1 Z-0.2600 F24.0
G1 X0.4000
G3 X0.6898 Z-0.4824 I0.0000 K-0.3000 F12.0
G3 X0.5500 Z-0.8198 I-0.2898 K-0.0776
G1 X1.2000 Z-1.0000 F60.0
G0 Z0.2000
(MSG, By hand: spindle off. Then Measure the upper pivot: 0.114 wanted; write half of what it is)
(MSG, too large, negative, over the number of its correction in the head of the program)
M0
(MSG, By hand: spindle on, 6000 rev/min, sense of M3; go on when it is up to speed)
M0

(Finish the pivot)
G21 G18 G40 G90 G94 G61 G54
(Correction #101 in)
G0 X[0.0570+#101] Z0.2000
G1 Z-0.2000 F18.0
G2 X[0.1070+#101] Z-0.2866 I0.1000 K0.0000
G0 X[1.2000+#101] Z-0.2000
(Correction #101 out)
G0 X1.2000 Z5.0000
G0 X5.0000
(MSG, The end: spindle off by hand)
M2
