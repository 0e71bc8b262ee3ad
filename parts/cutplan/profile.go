package cutplan

import (
	"fmt"
	"math"
	"slices"

	"perch/parts/bend"
)

// Profile is what a cutting table's controller wants, and what its time costs.
type Profile bend.Table

// ReadProfile reads a profile from TOML text; a word that it does not know is an
// error, bend.FileErrors.
func ReadProfile(text string) (*Profile, error) {
	t, err := bend.LoadTable(text)
	if err != nil {
		return nil, err
	}
	return (*Profile)(t), nil
}

// feed is the feed for a sheet; *FeedError when there is none.
func (p *Profile) feed(material string, thickness float64) (bend.Feed, error) {
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
		e.Has = append(e.Has, fmt.Sprintf("%s %g mm", metal, f.Thickness))
	}
	slices.Sort(e.Has)
	return bend.Feed{}, e
}

// slow is the fraction of the feed for small holes.
func (p *Profile) slow() float64 {
	if p.Slow == 0 {
		return 0.6
	}
	return p.Slow
}

// Estimate is the time and the machine's price of a plan; the sheet's is not in it.
type Estimate struct {
	Seconds  float64
	Pierces  int
	Cut      float64 // mm
	Travel   float64 // mm
	Price    float64 // machine time, pierces and wear
	PartTime []float64
}

// Estimate tells what a plan takes. Travel and machine times neglect acceleration.
func (p *Profile) Estimate(plan *Plan) (Estimate, error) {
	f, err := p.feed(plan.Sheet.Material, plan.Sheet.Thickness)
	if err != nil {
		return Estimate{}, err
	}
	e := Estimate{Pierces: len(plan.Cuts), Cut: plan.Length, Travel: plan.Travel, PartTime: make([]float64, len(plan.Sheet.Parts))}
	for i := range plan.Cuts {
		c := &plan.Cuts[i]
		feed := f.Feed
		if c.Slow {
			feed *= p.slow()
		}
		t := f.Delay + float64(c.Length()/feed*60)
		e.PartTime[c.Part] += t
		e.Seconds += t
	}
	if p.Rapid > 0 {
		e.Seconds += float64(plan.Travel / p.Rapid * 60)
	}
	e.Price = float64(e.Seconds/3600*p.Hour) + float64(float64(e.Pierces)*p.Pierce) + float64(e.Cut/1000*p.Metre)
	return e, nil
}
