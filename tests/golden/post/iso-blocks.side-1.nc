%
(side-1)
(Fenmoor 43, first side)
(Judged by calculation and not run on a machine; wear eye protection, cut air)
(first, go block by block, and stop at once when anything differs from the)
(sheet.)
N10 G71 G18 G40 G90 G95 G97 G61 G54
N20 M05

(Rough the pivot [upper], dia 0.110, 2 um)
N30 G71 G18 G40 G90 G95 G61 G54
(Tool 1: point, nose 0.05)
N40 T1 D1 M06
N50 G97 S6000 M03
N60 G04 X1.5
N70 G00 X2.4000 Z5.0000
N80 G00 X2.4000 Z0.2000
N90 G00 X0.1250 Z0.2000
N100 G01 X0.1250 Z-0.2600 F0.0040
N110 G01 X0.8000 Z-0.2600 F0.0040
N120 G03 X1.3796 Z-0.4824 I0.0000 K-0.3000 F0.0020
N130 G03 X1.1000 Z-0.8198 I-0.2898 K-0.0776 F0.0020
N140 G01 X2.4000 Z-1.0000 F0.0100
N150 G00 X2.4000 Z0.2000
N160 M05
(MSG, Measure the upper pivot: 0.114 wanted; write half of what it is too)
(MSG, large, negative, over the number of its correction in the head of the)
(MSG, program)
N170 M00
(Tool 1 again, with its offset as it stands now)
N180 T1 D1 M06
N190 G97 S6000 M03
N200 G04 X1.5

(Finish the pivot)
N210 G71 G18 G40 G90 G95 G61 G54
N220 G00 X0.1140 Z0.2000
N230 G01 X0.1140 Z-0.2000 F0.0030
N240 G02 X0.2140 Z-0.2866 I0.1000 K0.0000 F0.0030
N250 G00 X2.4000 Z-0.2000
N260 G00 X2.4000 Z5.0000
N270 M05
N280 G00 X10.0000 Z5.0000
(the blade follows)

(Part to a neck)
N290 G71 G18 G40 G90 G95 G61 G54
(Tool 2: blade 0.6)
N300 T2 D2 M06
N310 G97 S1500 M04
N320 G04 X0.4
N330 G00 X2.4000 Z5.0000
N340 G00 X2.4000 Z-4.8000
N350 G01 X0.6000 Z-4.8000 F0.0050
N360 G04 X0.3
N370 G00 X2.4000 Z-4.8000
N380 G00 X2.4000 Z5.0000
N390 M05
N400 G00 X10.0000 Z5.0000
N410 M05
N420 M30
%
