package step

import (
	"unicode/utf16"

	"perch/parts/decimal"
	"perch/parts/solid"
)

// lengthDecimals is to how many decimals lengths are written, mm: geometry kernels hold the
// ends of an edge to its curve within 1e-7 mm, which the six of other files would miss.
const lengthDecimals = 9

// text appends a string as ISO 10303-21 writes it: quotes and backslashes doubled, what lies
// outside its printable letters by their numbers, \X\ for eight bits and \X2\ for UTF-16's
// units, between which characters above U+FFFF go by \X4\ (6.4.3 of the standard, from memory).
func text(dst []byte, s string) []byte {
	dst = append(dst, '\'')
	wide := "" // the control directive that is open
	open := func(w string) {
		if wide != w && wide != "" {
			dst = append(dst, `\X0\`...)
		}
		if wide != w {
			dst = append(dst, w...)
		}
		wide = w
	}
	for _, r := range s {
		switch {
		case r == '\'' || r == '\\':
			open("")
			dst = append(dst, byte(r), byte(r))
		case r >= 0x20 && r <= 0x7e:
			open("")
			dst = append(dst, byte(r))
		case r < 0x100:
			open("")
			dst = hex(append(dst, `\X\`...), uint32(r), 2)
		case utf16.IsSurrogate(r) || r <= 0xffff:
			open(`\X2\`)
			dst = hex(dst, uint32(r), 4)
		default:
			open(`\X4\`)
			dst = hex(dst, uint32(r), 8)
		}
	}
	open("")
	return append(dst, '\'')
}

// hex appends the last digits of n, high ones first, in capitals as the standard asks.
func hex(dst []byte, n uint32, digits int) []byte {
	for i := digits - 1; i >= 0; i-- {
		dst = append(dst, "0123456789ABCDEF"[n>>(4*i)&15])
	}
	return dst
}

// number appends a real number, which has a point always.
func number(dst []byte, x float64, decimals int) []byte {
	from := len(dst)
	dst = decimal.Append(dst, x, decimals)
	for _, c := range dst[from:] {
		if c == '.' {
			return dst
		}
	}
	return append(dst, '.')
}

// triple appends three coordinates in brackets.
func triple(dst []byte, v solid.Vec, decimals int) []byte {
	dst = number(append(dst, '('), v.X, decimals)
	dst = number(append(dst, ','), v.Y, decimals)
	dst = number(append(dst, ','), v.Z, decimals)
	return append(dst, ')')
}
