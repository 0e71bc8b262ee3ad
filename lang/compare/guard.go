package compare

import (
	"fmt"
	"io"
	"slices"

	"perch/parts/measure"
)

// Unannounced tells whether a part changed while the design says the same
// revision as before. Sizes that only one side has change no part.
func (d *Difference) Unannounced() bool {
	return !d.PartsSame && d.Old.Revision == d.New.Revision
}

// Guard writes the verdict of Unannounced in a line or two.
func (d *Difference) Guard(w io.Writer) error {
	var g grouped
	for _, s := range d.Sizes {
		for _, p := range s.Parts {
			if p.Change != Renamed {
				g.add(p.Name, s.Name)
			}
		}
	}
	var err error
	switch {
	case d.PartsSame:
		_, err = fmt.Fprintf(w, "%s: no part changed\n", d.New.Design)
	case !d.Unannounced():
		_, err = fmt.Fprintf(w, "%s: %s changed, revision %s → %s\n", d.New.Design, measure.Counted(len(g.texts), "part"), orNone(d.Old.Revision), orNone(d.New.Revision))
	default:
		if _, err = fmt.Fprintf(w, "%s: %s changed, and the revision is still %s\n", d.New.Design, measure.Counted(len(g.texts), "part"), orNone(d.New.Revision)); err != nil {
			return err
		}
		for i, name := range g.texts {
			text := "  " + name
			if at := d.at(g.sizes[i]); at != "" && !slices.Equal(g.sizes[i], sizeNames(d)) {
				text += " at " + at
			}
			if _, err = fmt.Fprintln(w, text); err != nil {
				return err
			}
		}
	}
	return err
}

func sizeNames(d *Difference) []string {
	var out []string
	for _, s := range d.Sizes {
		out = append(out, s.Name)
	}
	return out
}
