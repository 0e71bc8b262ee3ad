package cutplan

import (
	"math"
	"slices"
	"strings"

	"perch/parts/measure"
	"perch/parts/shop"
)

// Profile is what a cutting table's controller wants, and what its time costs.
type Profile shop.Table

// ReadProfile reads a profile from TOML text; a word that it does not know is an
// error, shop.FileErrors.
func ReadProfile(text string) (*Profile, error) {
	t, err := shop.LoadTable(text)
	if err != nil {
		return nil, err
	}
	return (*Profile)(t), nil
}

// feed is the feed for a sheet; *FeedError when there is none.
func (p *Profile) feed(material string, thickness float64) (shop.Feed, error) {
	const same = 0.02 // mm
	for _, f := range p.Feeds {
		if (f.Material == "" || f.Material == material) && math.Abs(f.Thickness-thickness) <= same {
			return f, nil
		}
	}
	e := &FeedError{Profile: p.Name, Material: material, Thickness: thickness}
	for _, f := range p.Feeds {
		metal := f.Material
		if metal == "" {
			metal = "any metal"
		}
		e.Has = append(e.Has, measure.Say("%s %.6g", metal, measure.Length(f.Thickness)))
	}
	slices.SortFunc(e.Has, func(a, b measure.Text) int { return strings.Compare(a.String(), b.String()) })
	return shop.Feed{}, e
}

// Cuts errs with *FeedError when there is no feed for a sheet.
func (p *Profile) Cuts(material string, thickness float64) error {
	_, err := p.feed(material, thickness)
	return err
}

// FeedFor is the feed for a sheet in mm/min; false where the table tells none.
func (p *Profile) FeedFor(material string, thickness float64) (float64, bool) {
	f, err := p.feed(material, thickness)
	return f.Feed, err == nil
}

// slow is the fraction of the feed for small holes.
func (p *Profile) slow() float64 {
	if p.Slow == 0 {
		return 0.6
	}
	return p.Slow
}

// Estimate is what a plan takes; the sheet's price is not in it. It neglects
// acceleration, the way from mark to mark, and all that is done by hand: loading, clearing, a nozzle changed.
type Estimate struct {
	Share
	Parts []Share // by index of Sheet.Parts
}

// Share is what is spent on a part, or on all.
type Share struct {
	Cut     float64 // mm
	Pierces int
	Travel  float64 // to the pierces, mm
	Seconds float64 // 0 without a profile
	Machine float64 // price of that time
	Wear    float64 // price of what pierces and cuts wear
}

// Measure is what a plan takes, without times and prices where prof is nil.
// Error: *FeedError.
func Measure(plan *Plan, prof *Profile) (Estimate, error) {
	e := Estimate{Parts: make([]Share, len(plan.Sheet.Parts))}
	var f shop.Feed
	if prof != nil {
		var err error
		if f, err = prof.feed(plan.Sheet.Material, plan.Sheet.Thickness); err != nil {
			return e, err
		}
	}
	at := plan.Options.From
	for i := range plan.Cuts {
		c := &plan.Cuts[i]
		s := &e.Parts[c.Part]
		for _, r := range c.Runs {
			cut, travel := pathLength(r), at.Dist(r[0].From)
			at = lastOf(r).To
			s.Pierces++
			s.Cut += cut
			s.Travel += travel
			if prof == nil {
				continue
			}
			feed := f.Feed
			if c.Slow {
				feed *= prof.slow()
			}
			s.Seconds += f.Delay + float64(cut/feed*60)
			if prof.Rapid > 0 {
				s.Seconds += float64(travel / prof.Rapid * 60)
			}
		}
	}
	for i := range e.Parts {
		s := &e.Parts[i]
		for _, line := range plan.scribed(i, prof) {
			s.Seconds += float64(pathLength(line) / prof.MarkFeed * 60)
		}
	}
	for i := range e.Parts {
		s := &e.Parts[i]
		if prof != nil {
			s.Machine = float64(s.Seconds / 3600 * prof.Hour)
			s.Wear = float64(float64(s.Pierces)*prof.Pierce) + float64(s.Cut/1000*prof.Metre)
		}
		e.add(*s)
	}
	return e, nil
}

func (s *Share) add(o Share) {
	s.Cut += o.Cut
	s.Pierces += o.Pierces
	s.Travel += o.Travel
	s.Seconds += o.Seconds
	s.Machine += o.Machine
	s.Wear += o.Wear
}
