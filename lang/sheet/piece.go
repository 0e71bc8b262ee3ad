package sheet

import (
	"fmt"
	"math"
	"strings"

	"perch/lang/build"
	"perch/parts/cutplan"
	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/record"
	"perch/parts/shop"
)

// How one piece is nested: as perch nest does where nothing is said.
const (
	pieceSpacing = 6.0 // mm between blanks
	pieceMargin  = 8.0 // mm along a sheet's edge
	pieceTurns   = 90.0
)

// OnePiece nests one piece of a size, and nothing beside it.
func OnePiece(file string, r *build.Result, s *shop.Shop, asked *measure.System) Nesting {
	return Nesting{Orders: []Order{{File: file, Size: r.Size, Count: 1, Built: r}}, Shop: s, Asked: asked,
		Spacing: pieceSpacing, Margin: pieceMargin, Steps: pieceTurns, Effort: 1, Profile: (*cutplan.Profile)(s.Table)}
}

// PieceCost is what one piece comes to, as far as the shop tells prices: an estimate.
type PieceCost struct {
	Parts    []CostPart
	Lack     []string // what has no price
	Currency string   // may be empty
}

// CostPart is what a piece costs of one thing.
type CostPart struct {
	What string
	Cost float64
}

// CostOf reckons what one piece costs from the sheets that it was nested on and its fasteners.
func CostOf(a *panel.Assembly, sheets []Planned, s *shop.Shop) PieceCost {
	c := PieceCost{Currency: s.Currency}
	add := func(what string, cost float64, known bool) {
		if !known {
			c.Lack = append(c.Lack, what)
			return
		}
		c.Parts = append(c.Parts, CostPart{what, cost})
	}
	var of CostLine
	priced, timed := len(sheets) > 0, len(sheets) > 0
	for _, p := range sheets {
		of.SheetShare += p.Cost.SheetShare
		of.Machine += p.Cost.Machine
		of.Wear += p.Cost.Wear
		of.Seconds += p.Cost.Seconds
		priced, timed = priced && p.Priced, timed && p.Timed
	}
	add("sheets", of.SheetShare, priced)
	table := "the table"
	if timed {
		table = fmt.Sprintf("the table's %s", Minutes(of.Seconds))
	}
	add(table, of.Machine+of.Wear, timed && of.Machine+of.Wear > 0)
	if rows := record.Hardware(a); len(rows) > 0 {
		cost, known := fasteners(rows, s)
		add("fasteners", cost, known)
	}
	return c
}

// Text is the cost in a few words: sheets 9.10, fasteners 3.30, in all 12.40 EUR; empty where
// nothing has a price.
func (c *PieceCost) Text() string {
	if len(c.Parts) == 0 {
		return ""
	}
	var parts []string
	sum := 0.0
	for _, p := range c.Parts {
		sum += p.Cost
		parts = append(parts, fmt.Sprintf("%s %.2f", p.What, p.Cost))
	}
	text := strings.Join(parts, ", ")
	if len(parts) > 1 {
		text += fmt.Sprintf(", in all %.2f", sum)
	}
	return strings.TrimSpace(text + " " + c.Currency)
}

// Without says what is left out, with what has no price behind it.
func (c *PieceCost) Without() string {
	text := "bending, joining, coating, your hours"
	for _, l := range c.Lack {
		text += ", " + l + " (no price)"
	}
	return text
}

// fasteners is what they cost without spares; false where some have no price. Nuts and washers
// go with their bolts.
func fasteners(rows []record.HardwareRow, s *shop.Shop) (cost float64, known bool) {
	const same = 0.06 // mm: 3/16 in is sold as 4.8 mm
	known = true
	for _, r := range rows {
		price := 0.0
		is := func(d float64) bool { return math.Abs(d-r.Diameter) <= same }
		switch r.Kind {
		case "blind rivet":
			for _, q := range s.Rivets {
				if is(q.Diameter) {
					price = q.Price
				}
			}
		case "solid rivet":
			for _, q := range s.Solid {
				if is(q.Diameter) {
					price = q.Price
				}
			}
		case "bolt":
			for _, q := range s.Bolts {
				if is(q.Diameter) {
					price = q.Price
				}
			}
		default:
			continue
		}
		known = known && price > 0
		cost += float64(price * float64(r.Count))
	}
	return cost, known
}
