#include "textflag.h"

// func nineAVX(sum *[9]float64, x, y *float64, stepx, stepy, n int)
//
// Sums of the products of three rows of x with three of y, over n entries, a multiple of
// four: each in four lanes, by the place modulo four, added as (0 + 2) + (1 + 3). Products
// and sums round apart, as the plain Go does it.
TEXT ·nineAVX(SB), NOSPLIT, $0-48
	MOVQ sum+0(FP), DI
	MOVQ x+8(FP), AX
	MOVQ y+16(FP), R8
	MOVQ stepx+24(FP), CX
	MOVQ stepy+32(FP), R9
	MOVQ n+40(FP), DX
	LEAQ (AX)(CX*8), BX
	LEAQ (BX)(CX*8), CX
	LEAQ (R8)(R9*8), R10
	LEAQ (R10)(R9*8), R9
	VXORPD Y0, Y0, Y0
	VXORPD Y1, Y1, Y1
	VXORPD Y2, Y2, Y2
	VXORPD Y3, Y3, Y3
	VXORPD Y4, Y4, Y4
	VXORPD Y5, Y5, Y5
	VXORPD Y6, Y6, Y6
	VXORPD Y7, Y7, Y7
	VXORPD Y8, Y8, Y8
	XORQ SI, SI

loop:
	VMOVUPD (AX)(SI*8), Y9
	VMOVUPD (BX)(SI*8), Y10
	VMOVUPD (CX)(SI*8), Y11
	VMOVUPD (R8)(SI*8), Y12
	VMULPD Y9, Y12, Y13
	VMULPD Y10, Y12, Y14
	VMULPD Y11, Y12, Y15
	VADDPD Y13, Y0, Y0
	VADDPD Y14, Y3, Y3
	VADDPD Y15, Y6, Y6
	VMOVUPD (R10)(SI*8), Y12
	VMULPD Y9, Y12, Y13
	VMULPD Y10, Y12, Y14
	VMULPD Y11, Y12, Y15
	VADDPD Y13, Y1, Y1
	VADDPD Y14, Y4, Y4
	VADDPD Y15, Y7, Y7
	VMOVUPD (R9)(SI*8), Y12
	VMULPD Y9, Y12, Y13
	VMULPD Y10, Y12, Y14
	VMULPD Y11, Y12, Y15
	VADDPD Y13, Y2, Y2
	VADDPD Y14, Y5, Y5
	VADDPD Y15, Y8, Y8
	ADDQ $4, SI
	CMPQ SI, DX
	JLT loop

#define LANES(Y, X, AT) \
	VEXTRACTF128 $1, Y, X9    \
	VADDPD X9, X, X           \
	VPERMILPD $1, X, X9       \
	VADDSD X9, X, X           \
	VMOVSD X, AT(DI)
	LANES(Y0, X0, 0)
	LANES(Y1, X1, 8)
	LANES(Y2, X2, 16)
	LANES(Y3, X3, 24)
	LANES(Y4, X4, 32)
	LANES(Y5, X5, 40)
	LANES(Y6, X6, 48)
	LANES(Y7, X7, 56)
	LANES(Y8, X8, 64)
	VZEROUPPER
	RET
