package papers

import (
	"fmt"
	"math"
	"strings"

	"perch/lang/build"
	"perch/lang/sheet"
	"perch/parts/record"
	"perch/parts/shop"
)

// costs says what a piece comes to, as far as the shop tells prices, and what of it is not known.
func (j Job) costs(r *build.Result, sheets []sheet.Planned) []string {
	var parts, lack []string
	sum := 0.0
	add := func(what string, cost float64, known bool) {
		if !known {
			lack = append(lack, what)
			return
		}
		sum += cost
		parts = append(parts, fmt.Sprintf("%s %.2f", what, cost))
	}
	var of sheet.CostLine
	priced, timed := len(sheets) > 0, len(sheets) > 0
	for _, s := range sheets {
		of.SheetShare += s.Cost.SheetShare
		of.Machine += s.Cost.Machine
		of.Wear += s.Cost.Wear
		of.Seconds += s.Cost.Seconds
		priced, timed = priced && s.Priced, timed && s.Timed
	}
	add("sheets", of.SheetShare, priced)
	table := "the table"
	if timed {
		table = fmt.Sprintf("the table's %s", sheet.Minutes(of.Seconds))
	}
	add(table, of.Machine+of.Wear, timed && of.Machine+of.Wear > 0)
	if rows := record.Hardware(r.Assembly); len(rows) > 0 {
		cost, known := fasteners(rows, j.Shop)
		add("fasteners", cost, known)
	}
	if len(parts) == 0 {
		return []string{"What it costs is not known: the shop file tells no prices (of sheets, of fasteners, of the table's hour)."}
	}
	text := "Costs, an estimate: " + strings.Join(parts, ", ")
	if len(parts) > 1 {
		text += fmt.Sprintf(", in all %.2f", sum)
	}
	text = strings.TrimSpace(text+" "+j.Shop.Currency) + ". Left out: bending, joining, coating, your hours"
	for _, l := range lack {
		text += ", " + l + " (no price)"
	}
	return []string{text + "."}
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
