(typed at the lathe; what it must leave of a rod of 2 mm, worked out by hand:)
(#1 = 0.6: 1.2 mm across from the end to Z = 10 - 1.5 - 10 = -1.5)
(#3 = 0.6 + 0.2 = 0.8: 1.6 mm across from there to Z = 10 - 3 - 10 = -3)
(in both corners the fillet of the nose of T1, 0.1 mm)
(cut away: PI x [1 - 0.64] x 3 + PI x [0.64 - 0.36] x 1.5 = 4.7124 mm3, less the fillets:)
([1 - PI/4] x 0.01 x 2 PI x [0.622 + 0.822] = 0.0195, so 4.693 mm3)
G18 G21 G40 G49 G90 G94 G64
#1=0.6 #2=1.5
#3=[#1+0.2]
G54
G0 X2 Z1
(from here the end of the rod is Z10)
G92 Z11
G0 Z10.2
X#3
G1 Z[10-2*#2] F40
X1.1
G0 Z10.2
X#1
G1 Z[10-#2]
X[SQRT[#3*#3]]
G0 X15 Z40
G92.1
(G54 is set anew, 1 mm further out: the end of the rod is Z-1, and nothing is touched)
G10 L2 P1 X#5221 Z[#5223+1]
G0 X2 Z-0.5
G1 X1.1
G0 X15 Z29
M30
