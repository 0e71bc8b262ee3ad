package diag

// SameMistake tells whether two diagnostics tell of one mistake: of one code, at one place
// and of one part, whatever their numbers.
func (d *Diagnostic) SameMistake(o *Diagnostic) bool {
	return d.Code == o.Code && d.Span == o.Span && d.Part == o.Part
}

// Gathered are the diagnostics of several sizes of a design: what more than one of them
// says is said once, with the sizes. Errors with other words, which have other numbers,
// are told apart.
type Gathered struct {
	Sizes []string // all that are built
	diags []Diagnostic
	at    [][]string // by diagnostic: the sizes that say so
}

// Add takes a diagnostic of a size; sizes come one after the other.
func (g *Gathered) Add(d Diagnostic, size string) {
	for i := range g.diags {
		if o := &g.diags[i]; d.SameMistake(o) && (o.Summary == d.Summary || d.Severity == Warning) {
			if l := g.at[i]; l[len(l)-1] != size {
				g.at[i] = append(l, size)
			}
			return
		}
	}
	g.diags = append(g.diags, d)
	g.at = append(g.at, []string{size})
}

// Diagnostics are what was added, each once, with a note of its sizes where not all say so
// or it is an error of one of several.
func (g *Gathered) Diagnostics() []Diagnostic {
	out := make([]Diagnostic, len(g.diags))
	for i, d := range g.diags {
		if len(g.at[i]) < len(g.Sizes) || len(g.Sizes) > 1 && d.Severity == Error {
			d.Notes = append(append([]string(nil), d.Notes...), "at size "+List(g.at[i]))
		}
		out[i] = d
	}
	return out
}
