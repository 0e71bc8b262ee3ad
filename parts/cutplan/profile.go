package cutplan

import (
	"fmt"
	"math"

	"github.com/BurntSushi/toml"
)

// Profile is what a cutting table's controller wants. Lengths in its file are mm
// and feeds mm/min, whatever unit the program is in.
type Profile struct {
	Name        string    `toml:"name"`
	Unit        string    `toml:"unit"` // of the program: mm or in
	Header      []string  `toml:"header"`
	Footer      []string  `toml:"footer"`
	On          string    `toml:"torch_on"`
	Off         string    `toml:"torch_off"`
	Arcs        bool      `toml:"arcs"`         // G2 and G3; else segments
	Chord       float64   `toml:"chord"`        // how far a segment may leave its arc; 0: 0.005
	LineNumbers int       `toml:"line_numbers"` // step; 0 none
	Slow        float64   `toml:"slow"`         // feed of small holes, as a fraction; 0: 0.6
	Rapid       float64   `toml:"rapid"`        // for the estimate of time
	Hour        float64   `toml:"hour"`         // price of an hour of the machine
	Pierce      float64   `toml:"pierce"`       // price of a pierce's consumables
	Metre       float64   `toml:"metre"`        // price of a metre of cut's consumables
	Feeds       []FeedFor `toml:"feed"`
}

// FeedFor is the feed for a material and thickness.
type FeedFor struct {
	Material  string  `toml:"material"` // "" any
	Thickness float64 `toml:"thickness"`
	Feed      float64 `toml:"feed"`  // mm/min
	Delay     float64 `toml:"delay"` // after torch on, s
}

// ReadProfile reads a profile from TOML text; a word it does not know is an error.
func ReadProfile(text string) (*Profile, error) {
	p := &Profile{Unit: "mm", Arcs: true}
	md, err := toml.Decode(text, p)
	if err != nil {
		return nil, fmt.Errorf("table profile: %w", err)
	}
	if u := md.Undecoded(); len(u) > 0 {
		return nil, fmt.Errorf("table profile: it has no word %q", u[0].String())
	}
	return p, p.check()
}

func (p *Profile) check() error {
	switch {
	case p.Unit != "mm" && p.Unit != "in":
		return fmt.Errorf("table profile %q: unit %q; it must be mm or in", p.Name, p.Unit)
	case p.On == "" || p.Off == "":
		return fmt.Errorf("table profile %q: it needs torch_on and torch_off", p.Name)
	case p.LineNumbers < 0 || !(p.Chord >= 0) || !(p.Slow >= 0 && p.Slow <= 1):
		return fmt.Errorf("table profile %q: line_numbers, chord and slow must not be negative, slow at most 1", p.Name)
	}
	for _, f := range p.Feeds {
		if !(f.Feed > 0) || !(f.Delay >= 0) || math.IsInf(f.Feed+f.Delay, 0) {
			return fmt.Errorf("table profile %q: feed %g, delay %g for %s %g mm", p.Name, f.Feed, f.Delay, f.Material, f.Thickness)
		}
	}
	return nil
}

// feed is the feed for a sheet; *FeedError when there is none.
func (p *Profile) feed(material string, thickness float64) (FeedFor, error) {
	const same = 0.02 // mm
	for _, f := range p.Feeds {
		if (f.Material == "" || f.Material == material) && math.Abs(f.Thickness-thickness) <= same {
			return f, nil
		}
	}
	return FeedFor{}, &FeedError{p.Name, material, thickness}
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
