package measure

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Ruler is what lengths are read off by in a shop: its finest division. The zero Ruler
// is none; lengths are then written to 0.01 mm or 0.001 in.
type Ruler struct {
	System   System
	Division float64 // in the system's unit; 0: no ruler
}

// Limits of a ruler's division.
const (
	finestRuler  = 64 // parts of an inch
	leastInches  = 1.0 / 1000
	leastMM      = 0.01
	mostMM       = 100.0
	mostInches64 = 4.0
)

// ParseRuler reads a division with its unit: 1/32in, 0.5mm, 0.01in; "" is no ruler. A
// fraction of an inch has a power of two up to 64 below the line.
func ParseRuler(text string) (Ruler, error) {
	if text == "" {
		return Ruler{}, nil
	}
	bad := fmt.Errorf("%q is no ruler's division: write 1/32in, or 0.5mm", text)
	digits, inches := strings.CutSuffix(text, "in")
	if !inches {
		var mm bool
		if digits, mm = strings.CutSuffix(text, "mm"); !mm {
			return Ruler{}, bad
		}
	}
	if below, ok := strings.CutPrefix(digits, "1/"); ok && inches {
		n, err := strconv.Atoi(below)
		if err != nil || n < 1 || n > finestRuler || n&(n-1) != 0 {
			return Ruler{}, bad
		}
		return Ruler{Inches, 1 / float64(n)}, nil
	}
	v, err := strconv.ParseFloat(digits, 64)
	least, most := leastMM, mostMM
	if inches {
		least, most = leastInches, mostInches64
	}
	if err != nil || !(v >= least && v <= most) {
		return Ruler{}, bad
	}
	if inches {
		return Ruler{Inches, v}, nil
	}
	return Ruler{Millimetres, v}, nil
}

// Paper is how lengths are written on paper and in pictures: in a reader's system, sizes
// to the shop's ruler where that is of the same system. The zero Paper is in millimetres.
type Paper struct {
	System System
	Ruler  Ruler
}

// Fine writes a length that is not read off a ruler, a hole or a radius, without its
// unit: to 0.01 mm; in inches as a fraction where it is one to 1/64, else to 0.001 in.
func (p Paper) Fine(mm float64) string {
	if p.System == Inches {
		if text := Fraction(mm, finest); exactly(text) {
			return text
		}
		return Decimal(mm/InchMM, 3)
	}
	return Decimal(mm, 2)
}

// Size writes a size that is read off a ruler, to its nearest division, without its
// unit: 12-11/32; without a ruler it is as Fine writes it.
func (p Paper) Size(mm float64) string {
	r := p.Ruler
	if r.Division == 0 || r.System != p.System {
		return p.Fine(mm)
	}
	steps := math.Round(mm / p.System.Scale() / r.Division)
	if parts := 1 / r.Division; p.System == Inches && parts == math.Trunc(parts) && int64(parts)&(int64(parts)-1) == 0 && parts <= finestRuler && math.Abs(steps) < 1e9 {
		return sixtyFourths(int64(steps), int64(parts))
	}
	return Decimal(steps*r.Division, 4)
}

// Rough writes a size of a whole sheet without its unit: by the ruler, or to 1 mm or 0.01 in.
func (p Paper) Rough(mm float64) string {
	switch {
	case p.Ruler.Division > 0 && p.Ruler.System == p.System:
		return p.Size(mm)
	case p.System == Inches:
		return Say("%#.0f", Length(mm)).In(Inches)
	}
	return Decimal(mm, 0)
}

// Overall writes what a whole piece measures, read off a tape, without its unit: by the
// ruler, or to 0.1 mm or 1/32 in.
func (p Paper) Overall(mm float64) string {
	if p.Ruler.Division == 0 || p.Ruler.System != p.System {
		p.Ruler = Ruler{p.System, map[System]float64{Millimetres: 0.1, Inches: 1.0 / 32}[p.System]}
	}
	return p.Size(mm)
}

// Unit is the unit behind a number: " mm" or " in".
func (p Paper) Unit() string { return " " + p.System.Unit() }
