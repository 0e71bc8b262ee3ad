package compare

import (
	"fmt"
	"io"
	"slices"
	"strings"

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
		var rows grouped // where parts changed, with the parts
		for i, name := range g.texts {
			at := ""
			if !slices.Equal(g.sizes[i], sizeNames(d)) {
				at = d.where(g.sizes[i])
			}
			rows.add(at, name)
		}
		for i, at := range rows.texts {
			if _, err = fmt.Fprintf(w, "  %s%s\n", strings.Join(compressed(rows.sizes[i]), ", "), at); err != nil {
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
