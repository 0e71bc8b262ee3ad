package build

import (
	"fmt"

	"perch/lang/quantity"
	"perch/parts/shop"
	"perch/parts/strength"
	"perch/parts/tipping"
)

// Cases are what loads a size: what its design names, or somebody sitting where that names
// none; none where there is no place to sit either.
func (r *Result) Cases() (cases []strength.Case) {
	for _, named := range r.Made.Loads() {
		c := strength.Case{Name: named.Name, On: named.On}
		for _, l := range named.Loads {
			c.Stops = c.Stops || l.Stops
			c.Loads = append(c.Loads, tipping.Load{Force: l.Force, Across: l.Across, Frame: l.Frame, Area: l.Area})
			c.Spread = append(c.Spread, l.Spread)
		}
		cases = append(cases, c)
	}
	if len(cases) > 0 {
		return cases
	}
	if len(r.Made.Supports()) > 0 { // nobody sits on what hangs
		return nil
	}
	if c, at, ok := strength.Sat(r.Assembly); ok {
		if face, ok := r.written(at); ok {
			c.Line = fmt.Sprintf("let sit = load(%s, on: %s)", quantity.Format(strength.SeatForce, quantity.Force, quantity.Millimetres), face)
		}
		return []strength.Case{c}
	}
	return nil
}

// footing is the friction of a foot on a floor: typical, common practice, no source.
const footing = 0.3

// estimateMemory is how much the factors of an estimate may take, bytes: said before it is taken.
const estimateMemory = 1 << 30

// Estimating is what an estimate of a size goes by.
func (r *Result) Estimating(sh *shop.Shop) strength.Options {
	return strength.Options{Friction: footing, Memory: estimateMemory, Supports: r.Made.Supports(), Metal: strength.MetalOf(sh)}
}

// Steady is how many times a load that the design names until the piece tips over: +Inf where
// it never does.
type Steady struct {
	Name  string
	Times float64
}

// Steadies are those of every load that the design names, by statics; none where the piece
// hangs or does not stand.
func (r *Result) Steadies() (all []Steady) {
	if r.Made == nil {
		return nil
	}
	named := r.Made.Loads()
	if len(named) == 0 || len(r.Made.Supports()) > 0 {
		return nil
	}
	stand := tipping.On(r.Flats)
	if !stand.Stands() {
		return nil
	}
	for _, c := range r.Cases() {
		all = append(all, Steady{c.Name, stand.Tips(c.Loads).Factor})
	}
	return all
}

// Asking is a line by which the design could state a load on its largest level face; "" where
// it has none that it could name.
func (r *Result) Asking() string {
	var large strength.Place
	for _, p := range strength.Levels(r.Assembly) {
		if p.Area > large.Area {
			large = p
		}
	}
	if face, ok := r.written(large); ok && large.Area > 0 {
		return fmt.Sprintf("let goods = load(20kg, on: %s)", face)
	}
	return ""
}

// written is how the design names a face.
func (r *Result) written(p strength.Place) (string, bool) {
	if p.Area == 0 {
		return "", false
	}
	f := r.Assembly.Blanks[r.Assembly.Copies[p.Copy].Blank].Flat
	return r.Made.Written(p.Copy, f.Faces[p.Face].Name)
}
